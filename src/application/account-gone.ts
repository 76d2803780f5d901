/** The account was deleted while a request of it ran; the request's key went with it. */
export class AccountGone extends Error {
  constructor() {
    super("The account was deleted.");
  }
}

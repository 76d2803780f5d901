import { refuseField } from "../../domain/failure/failure.ts";

/**
 * Holds an address to what can be seen of it: TLS, no user and password, no name of this machine.
 * What its name leads to is looked at whenever it is connected to.
 */
export function requireTarget(url: string, allowPrivate: boolean): void {
  const { protocol, username, password, hash } = new URL(url);
  if (username !== "" || password !== "") {
    throw refuseField("#/url", "must not hold a user or a password: deliveries are signed instead");
  }
  if (hash !== "") throw refuseField("#/url", "must not hold a fragment: it is never sent");
  if (protocol !== "https:" && !allowPrivate) {
    throw refuseField("#/url", "must begin with https:");
  }
}

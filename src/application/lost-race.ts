/**
 * A row moved on between its reading and its writing in one transaction. Whoever runs the transaction
 * tries it again: then the version that the caller named decides, and none where the caller named none.
 */
export class LostRace extends Error {
  constructor() {
    super("The row was changed by another at the same moment.");
  }
}

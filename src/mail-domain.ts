/** The right-hand side of Message-IDs: the sending address's own domain. */
export function mailDomain(address: string): string {
  return address.slice(address.lastIndexOf("@") + 1);
}

import ipaddr from "ipaddr.js";

/** Whether the address is one of the public internet: not private, loopback, link-local, shared, mapped ... */
export function isPublicAddress(address: string): boolean {
  return ipaddr.isValid(address) && ipaddr.process(address).range() === "unicast";
}

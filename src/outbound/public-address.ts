import { type LookupAddress, lookup } from "node:dns";
import type { LookupFunction } from "node:net";
import { isPublicAddress } from "../application/webhooks/public-address.ts";

/** Refused at the moment of connecting, on the very address: nothing can change in between. */
export class InsideAddress extends Error {
  constructor(host: string) {
    super(`${host} is not an address of the public internet.`);
    this.name = "InsideAddress";
  }
}

/** Looks a host name up like Node does, and answers addresses of the public internet alone. */
export const lookupPublic: LookupFunction = (hostname, options, callback) => {
  lookup(hostname, { ...options, all: true }, (error, addresses) => {
    const all = options.all === true;
    if (error) return all ? callback(error, []) : callback(error, "", 0);
    const found = (addresses as LookupAddress[]).filter(({ address }) => isPublicAddress(address));
    const [first] = found;
    if (!first) {
      const refused = new InsideAddress(hostname);
      return all ? callback(refused, []) : callback(refused, "", 0);
    }
    return all ? callback(null, found) : callback(null, first.address, first.family);
  });
};

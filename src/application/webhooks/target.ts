import { isIP } from "node:net";
import { refuseField } from "../../domain/failure/failure.ts";
import { isPublicAddress } from "./public-address.ts";

const LOCAL_NAME = /(^|\.)localhost\.?$/;

/**
 * Holds an address to what can be seen of it: TLS, no user and password, no literal address inside
 * and no name that always leads to this machine (RFC 6761, section 6.3).
 * What a name leads to is looked at whenever it is connected to.
 */
export function requireTarget(url: string, allowPrivate: boolean): void {
  const { protocol, hostname, username, password, hash } = new URL(url);
  if (username !== "" || password !== "") {
    throw refuseField("#/url", "must not hold a user or a password: deliveries are signed instead");
  }
  if (hash !== "") throw refuseField("#/url", "must not hold a fragment: it is never sent");
  if (allowPrivate) return;
  if (protocol !== "https:") throw refuseField("#/url", "must begin with https:");
  const host = hostname.replace(/^\[|\]$/g, "");
  const isInside = isIP(host) === 0 ? LOCAL_NAME.test(host) : !isPublicAddress(host);
  if (isInside) {
    throw refuseField("#/url", "must be an address of the public internet");
  }
}

/** Where the answers to the operator's requests are kept: no account has this id. */
export const OPERATOR = "00000000-0000-0000-0000-000000000000";

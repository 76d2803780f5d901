/** Which machines an export shows; absent fields bound nothing. */
export interface ExportBounds {
  ids?: readonly string[];
  responsibleMemberId?: string;
}

export type ExportKind = "readings" | "vehicles" | "work";

/** A row of a file by the names of its columns, which are those of an import. */
export type ExportedRow = Readonly<Record<string, string | number | boolean | null>>;

/** One row of the account, whatever it is a row of. */
export interface AccountLine {
  resource: string;
  row: Record<string, unknown>;
}

/** What is read from one moment's state of the account, some rows at a time. */
export interface Exports {
  /** @throws Refusal unavailable, before the first row */
  rows(accountId: string, kind: ExportKind, bounds: ExportBounds): AsyncGenerator<ExportedRow[]>;
  /** All rows of the account, those that others name before them. */
  account(accountId: string): AsyncGenerator<AccountLine[]>;
}

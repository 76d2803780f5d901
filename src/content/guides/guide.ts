/** A paragraph; what stands between backticks is code. */
interface Paragraph {
  readonly say: string;
}

/** Shell commands, which need curl and Node, and what they print. */
interface Commands {
  readonly run: string;
  /** Left out where they print nothing, or nothing to look at. */
  readonly prints?: string;
}

/** JavaScript for Node 20 without packages, to be saved under its name; commands after it run it. */
interface Program {
  readonly file: string;
  readonly holds: string;
}

export type Part = Paragraph | Commands | Program;

interface Section {
  readonly heading: string;
  readonly parts: readonly Part[];
}

/** How something is built on the API, step by step. A test runs all commands and programs of it. */
export interface Guide {
  /** Last step of its page's address. */
  readonly slug: string;
  readonly title: string;
  /** What it is for, in a sentence. */
  readonly about: string;
  readonly sections: readonly Section[];
}

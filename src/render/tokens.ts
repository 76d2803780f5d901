/** The colours of every surface. Text and its ground differ by at least 6, rules by at least 3. */
export interface Tokens {
  paper: string;
  ink: string;
  quiet: string;
  rule: string;
  hair: string;
  accent: string;
  onAccent: string;
  outer: string;
  inner: string;
  caution: string;
  onCaution: string;
  fault: string;
}

export const LIGHT: Tokens = {
  paper: "#fbfaf5",
  ink: "#1d2226",
  quiet: "#5a5f63",
  rule: "#8d887b",
  hair: "#dcd7ca",
  accent: "#0b5a60",
  onAccent: "#ffffff",
  outer: "#dbe8e6",
  inner: "#b9d3d1",
  caution: "#fff1d6",
  onCaution: "#5f3300",
  fault: "#8c1d18",
};

export const DARK: Tokens = {
  paper: "#14181a",
  ink: "#ece8df",
  quiet: "#a9adaf",
  rule: "#8d918f",
  hair: "#343a3d",
  accent: "#82cfc9",
  onAccent: "#0c2a2c",
  outer: "#20383a",
  inner: "#2c5557",
  caution: "#38270d",
  onCaution: "#ffd596",
  fault: "#ffb4a9",
};

export const TYPEFACE = `system-ui,-apple-system,"Segoe UI",Roboto,"Liberation Sans",sans-serif`;

/** The tokens as custom properties, `--on-accent` for `onAccent`. */
export function asProperties(tokens: Tokens): string {
  return Object.entries(tokens)
    .map(([name, value]) => `--${name.replaceAll(/[A-Z]/g, (c) => `-${c.toLowerCase()}`)}:${value}`)
    .join(";");
}

import { DARK, LIGHT, type Tokens, TYPEFACE } from "../tokens.ts";

/** Inline styles, since some mail programs drop style sheets; the light scheme. */
const { paper, ink, quiet, rule, hair, accent, onAccent, outer, inner, caution, onCaution } = LIGHT;

export const STYLE = {
  body: `margin:0;padding:0;background:${paper};color:${ink};font:17px/1.5 ${TYPEFACE};font-variant-numeric:tabular-nums;-webkit-text-size-adjust:100%;overflow-wrap:break-word;hyphens:auto;hyphenate-limit-chars:12 5 4`,
  preview: "display:none;max-height:0;overflow:hidden",
  main: "display:block;max-width:576px;margin:0 auto;padding:20px 16px 40px",
  stub: `width:100%;border-collapse:collapse;border-bottom:2px solid ${ink};margin:0 0 16px;font-size:14px`,
  stubMachine: `width:100%;border-collapse:collapse;border-bottom:1px solid ${rule};margin:32px 0 12px`,
  cellLeft: "padding:0 8px 5px 0;text-align:left;vertical-align:bottom",
  cellRight: "white-space:nowrap;padding:0 0 5px;text-align:right;vertical-align:bottom",
  h1: "font-size:25px;line-height:1.2;margin:4px 0 6px;font-weight:650",
  h2: "font-size:19px;line-height:1.25;margin:0;font-weight:650",
  h3: "font-size:19px;line-height:1.25;margin:24px 0 4px;font-weight:650",
  p: "margin:6px 0 14px",
  quiet: `color:${quiet};margin:0 0 10px`,
  small: `color:${quiet};font-size:15px;margin:0 0 8px`,
  caution: `background:${caution};color:${onCaution};border-left:4px solid ${onCaution};padding:10px 13px;margin:14px 0;font-size:16px`,
  cautionLine: "margin:2px 0",
  table: "width:100%;border-collapse:collapse;margin:6px 0 16px;font-size:15px",
  th: `font-weight:600;text-align:left;font-size:14px;color:${quiet};border-bottom:1px solid ${rule};padding:3px 5px 3px 0`,
  td: `border-bottom:1px solid ${hair};padding:7px 5px 7px 0;vertical-align:top;text-align:left;font-weight:400`,
  right: "text-align:right;padding-right:0",
  list: "margin:4px 0 14px;padding-left:24px",
  button: `display:inline-block;background:${accent};color:${onAccent};border:1px solid ${accent};padding:10px 16px;line-height:24px;border-radius:4px;text-decoration:none;font-weight:600;margin:4px 6px 4px 0`,
  other: `display:inline-block;color:${accent};border:1px solid ${accent};padding:10px 16px;line-height:24px;border-radius:4px;text-decoration:none;font-weight:600;margin:4px 6px 4px 0`,
  drum: `display:inline-block;border:1px solid ${rule};border-radius:3px;line-height:28px;white-space:nowrap;margin-right:2px`,
  figure: `padding:0 6px;border-right:1px solid ${hair};font-weight:600`,
  tenth: `display:inline-block;padding:0 6px;background:${ink};color:${paper};font-weight:600`,
  footer: `border-top:1px solid ${rule};margin:32px 0 0;padding:10px 0 0;font-size:14px;color:${quiet}`,
  link: `color:${accent}`,
  action: `display:inline-block;color:${accent};padding:11px 0;line-height:24px;margin:4px 0`,
  scale:
    "width:100%;table-layout:fixed;border-collapse:collapse;margin:0;font-size:13px;line-height:1.3",
  outer: `background:${outer};`,
  inner: `background:${inner};`,
  now: `background:${ink};`,
  most: `background:${accent};`,
  axis: `border-bottom:1px solid ${rule};`,
} as const;

/** The dark scheme, which only a style sheet can ask for: classes that overrule the inline tokens. */
export const DARK_SHEET = `:root{color-scheme:light dark;supported-color-schemes:light dark}@media (prefers-color-scheme:dark){${rules(DARK)}}`;

function rules(t: Tokens): string {
  const important = {
    paper: { background: t.paper },
    ink: { color: t.ink },
    quiet: { color: t.quiet },
    stub: { "border-color": t.ink },
    rule: { "border-color": t.rule },
    hair: { "border-color": t.hair },
    button: { background: t.accent, "border-color": t.accent, color: t.onAccent },
    other: { "border-color": t.accent, color: t.accent },
    link: { color: t.accent },
    caution: { background: t.caution, color: t.onCaution, "border-color": t.onCaution },
    outer: { background: t.outer },
    inner: { background: t.inner },
    now: { background: t.ink },
    most: { background: t.accent },
    tenth: { background: t.ink, color: t.paper },
  };
  return Object.entries(important)
    .map(([name, values]) => {
      const lines = Object.entries(values).map(
        ([property, value]) => `${property}:${value}!important`,
      );
      return `.${name}{${lines.join(";")}}`;
    })
    .join("");
}

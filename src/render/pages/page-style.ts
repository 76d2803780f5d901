import { asProperties, DARK, LIGHT, TYPEFACE } from "../tokens.ts";

/** The one style sheet of pages and sheets of paper. Constant, so that a policy can name its hash. */
export const PAGE_STYLE = `
:root{color-scheme:light dark;${asProperties(LIGHT)}}
@media (prefers-color-scheme:dark){:root{${asProperties(DARK)}}}
*{box-sizing:border-box}
body{margin:0;background:var(--paper);color:var(--ink);font:17px/1.5 ${TYPEFACE};font-variant-numeric:tabular-nums;-webkit-text-size-adjust:100%;overflow-wrap:break-word;hyphens:auto;hyphenate-limit-chars:12 5 4}
main{max-width:36rem;margin:0 auto;padding:1.25rem 1rem 3rem}
.stub{display:flex;justify-content:space-between;gap:1rem;border-bottom:2px solid var(--ink);padding-bottom:.35rem;margin:0 0 1rem;font-size:.875rem}
.stub span:last-child{text-align:right;flex:none;max-width:60%}
h1{font-size:1.45rem;line-height:1.2;margin:.2rem 0 .4rem;font-weight:650}
h2{font-size:1.15rem;line-height:1.25;margin:1.6rem 0 .3rem;font-weight:650}
h3{font-size:1rem;margin:1.1rem 0 .2rem;font-weight:650}
p{margin:.4rem 0 .8rem}
.quiet{color:var(--quiet)}.small{font-size:.875rem}
a{color:var(--accent)}
.drum{display:inline-flex;border:1.5px solid var(--rule);border-radius:3px;overflow:hidden;line-height:1.6;vertical-align:middle}
.drum b{padding:0 .34em;border-left:1px solid var(--hair);font-weight:600}
.drum b:first-child{border:0}.drum .tenth{background:var(--ink);color:var(--paper)}
table{border-collapse:collapse;width:100%;margin:.4rem 0 1rem}
thead>tr>th{font-weight:600;text-align:left;font-size:.875rem;color:var(--quiet);border-bottom:1px solid var(--rule);padding:.2rem .5rem .2rem 0;vertical-align:bottom}
td,tbody>tr>th{border-bottom:1px solid var(--hair);padding:.45rem .5rem .45rem 0;vertical-align:top;font-weight:400;font-size:1rem;text-align:left}
tbody>tr>th{color:inherit}.facts th{width:30%}.findings td,.findings tbody>tr>th{font-size:.9rem}.findings tbody>tr>th{width:38%}.facts th.quiet{color:var(--quiet)}
@media (max-width:30rem){.findings thead>tr>th,.findings td,.findings tbody>tr>th{font-size:.8125rem;padding-right:.3rem}}
.figures{text-align:right}td:last-child,th:last-child{padding-right:0}
.caution{background:var(--caution);color:var(--on-caution);padding:.6rem .8rem;border-left:4px solid currentColor;margin:.9rem 0;font-size:.95rem}
.caution strong{display:block}.caution p{margin:.1rem 0}
.button{display:inline-block;font:inherit;font-weight:600;line-height:1.5;min-height:44px;background:var(--accent);color:var(--on-accent);border:1.5px solid var(--accent);border-radius:4px;padding:.5rem 1rem;margin:.4rem .4rem .4rem 0;text-decoration:none;cursor:pointer;hyphens:manual}
.button.other{background:none;color:var(--accent)}
:focus-visible{outline:3px solid var(--accent);outline-offset:2px}
label,legend{font-weight:600;padding:0}legend{padding-right:.5rem}
fieldset{border:0;border-top:1px solid var(--rule);padding:.6rem 0 0;margin:1.4rem 0 0;min-width:0}
fieldset fieldset{border:0;margin:.4rem 0;padding:0}
.field{margin:0 0 1rem}
.field .row{display:flex;align-items:center;gap:.5rem;flex-wrap:wrap}
input,textarea,select{font:inherit;color:inherit;background:var(--paper);border:1.5px solid var(--rule);border-radius:3px;padding:.5rem .6rem;min-height:44px;max-width:100%}
input.figure{width:9rem;text-align:right}textarea{width:100%}
input[type=radio],input[type=checkbox]{min-height:0;width:1.25rem;height:1.25rem;margin:0;accent-color:var(--accent)}
.choice{display:flex;align-items:center;gap:.6rem;min-height:44px;font-weight:400}
.pair{display:flex;flex-wrap:wrap;gap:0 1.5rem}
.fault{color:var(--fault);font-weight:600;margin:.25rem 0 0}
[aria-invalid=true]{border-color:var(--fault)}
.faults{border-left:4px solid var(--fault);padding:.1rem .8rem;margin:.9rem 0}
summary{min-height:44px;padding:.6rem 0;cursor:pointer;font-weight:600;color:var(--accent)}
svg{width:100%;height:auto;display:block;margin:.3rem 0 .9rem}
.scale{font-size:12px}.scale text{font-family:inherit}
.scale .outer{fill:var(--outer)}.scale .inner{fill:var(--inner)}.scale .line{stroke:var(--rule);stroke-width:1.5;fill:none}
.scale path.now{stroke:var(--ink);stroke-width:2}.scale circle.now,.scale .ink{fill:var(--ink)}
.scale .most{stroke:var(--accent);stroke-width:2.5}.scale .accent{fill:var(--accent);font-weight:650}.scale .quiet{fill:var(--quiet)}
.sheet>thead>tr>td,.sheet>tbody>tr>td{border:0;padding:0;font-size:inherit}
.sheet{margin:0}
.record{border-top:1px solid var(--rule);margin:1.4rem 0 0;padding:.2rem 0 0}
.changed{border-left:4px solid var(--rule);padding:.1rem .8rem;margin:.6rem 0}
.void del{text-decoration-thickness:1px}
@page{margin:16mm 14mm 18mm;@bottom-right{content:counter(page) " / " counter(pages);font:9pt ${TYPEFACE}}}
@media print{
:root{color-scheme:light;--paper:#fff;--ink:#000;--quiet:#333;--rule:#555;--hair:#999;--accent:#000;--caution:#fff;--on-caution:#000}
body{font-size:10.5pt}main{max-width:none;padding:0}
.record>h2,.record>.facts{break-after:avoid}tr,.caution{break-inside:avoid}
.button{display:none}
}
`;

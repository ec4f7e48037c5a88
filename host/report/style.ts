// The look of every page: for sun and dark, screen and paper, wide and narrow; its colours, text, tables, boxes and buttons.

/** Colours on white. Text and lines have a contrast of 7 to 1 at least, also over bands; a test measures it. */
const LIGHT = `
  --ground: #fff; --ink: #000; --rule: #c8c8c8; --faint: #eee; --flow: #e4f2e4;
  --one: #000; --two: #0b3d91; --three: #8a1c00; --four: #5b0f7a; --five: #00491f; --limit: #4d3800;
  --off: #fff; --armed: #dcdcdc; --flowing: #bfe3bf; --tripped: #f7bcbc; --arming: #efe6b3; --reason: #f2cda2; --bit: #cfd9e8;
`;
const DARK = `
  --ground: #000; --ink: #fff; --rule: #444; --faint: #1c1c1c; --flow: #0d2413;
  --one: #fff; --two: #7fd0ff; --three: #ffb38a; --four: #e0a8ff; --five: #8fe6a6; --limit: #ffe08a;
  --off: #000; --armed: #3d3d3d; --flowing: #0f5a2a; --tripped: #7a1010; --arming: #544500; --reason: #643600; --bit: #2c3e57;
`;

/** Looks of lines, each with a colour and a dash of its own, wherever they are drawn. */
const LOOKS = `
  .one { stroke: var(--one); } .two { stroke: var(--two); stroke-dasharray: 8 4; } .three { stroke: var(--three); stroke-dasharray: 3 3; }
  .four { stroke: var(--four); stroke-dasharray: 12 3 3 3; } .five { stroke: var(--five); stroke-dasharray: 18 5; }
  .limit { stroke: var(--limit); stroke-dasharray: 1 5; stroke-linecap: round; }
`;

/** A table whose rows stand as cards, each value beside its column's title. */
const CARDS = `
  table.wide, .wide tbody, .wide tr { display: block; } .wide thead { display: none; } .wide tr { border-bottom: 2px solid; padding: .3rem 0; }
  .wide td { display: grid; grid-template-columns: minmax(6rem, 2fr) 3fr; gap: .6rem; border: 0; padding: .05rem 0; text-align: left; } .wide td:not(.q) { white-space: normal; }
  .wide td::before { content: attr(data-label); } .wide td:first-child { font-weight: bold; } .wide td:empty { display: none; }
`;

const PRINT = `
  @page { margin: 12mm; } body { max-width: none; padding: 0; } h1, h2, h3 { break-after: avoid; } tr, li, .caution, .result { break-inside: avoid; }
  table { break-inside: avoid; } thead { display: table-header-group; } .screen-only { display: none !important; }
`;

export const STYLE = `
  :root { color-scheme: light dark; ${LIGHT} }
  @media screen and (prefers-color-scheme: dark) { :root { ${DARK} } }
  * { box-sizing: border-box; }
  html { overflow-x: clip; } body { font: 16px/1.45 system-ui, sans-serif; color: var(--ink); background: var(--ground); max-width: 75rem; margin: 0 auto; padding: .8rem; overflow-wrap: anywhere; }
  h1 { font-size: 1.05rem; margin: 0 0 .3rem; } h2 { font-size: 1.2rem; margin: 1.8rem 0 .4rem; border-bottom: 2px solid; } h3 { font-size: 1.05rem; margin: 1rem 0 .2rem; }
  p { margin: .3rem 0; max-width: 60rem; } a { color: inherit; } ul, ol { padding-left: 1.3rem; margin: .3rem 0; } kbd { font: inherit; font-weight: bold; } pre { white-space: pre-wrap; }
  .result { font-size: clamp(1.35rem, 1rem + 2vw, 2rem); line-height: 1.2; font-weight: bold; margin: .2rem 0 .6rem; } .caution { border: 3px solid; padding: .3rem 1rem; margin: .5rem 0; }
  ol.story { list-style: none; padding: 0; margin: 0; } ol.story li { display: flex; gap: .8rem; padding: .15rem 0; border-bottom: 1px solid var(--rule); }
  ol.story a { flex: none; width: 5.2rem; text-align: right; font-variant-numeric: tabular-nums; } .trip { font-weight: bold; }
  table { border-collapse: collapse; margin: .5rem 0; } th, td { text-align: left; vertical-align: top; padding: .15rem .9rem .15rem 0; border-bottom: 1px solid var(--rule); } th, td:first-child { overflow-wrap: normal; } td.n, th.n { text-align: right; } td.n, td.q { white-space: nowrap; font-variant-numeric: tabular-nums; }
  button, select { font: inherit; color: inherit; background: var(--ground); border: 2px solid; border-radius: .3rem; padding: .25rem .6rem; min-height: 2.6rem; max-width: 100%; }
  :focus-visible { outline: 3px solid var(--two); outline-offset: 2px; } [hidden] { display: none !important; }
  ${LOOKS}
  @media screen and (max-width: 40rem) { ${CARDS} }
  @media print { ${PRINT} }
`;

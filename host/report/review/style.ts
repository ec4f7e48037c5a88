// The look of a review page: for sun and dark, screen and paper, wide and narrow. Every line has a colour and a dash of its own.

/** Colours on white. Text and lines have a contrast of 7 to 1 at least, also over the bands; a test measures it. */
const LIGHT = `
  --ground: #fff; --ink: #000; --rule: #c8c8c8; --flow: #e4f2e4;
  --run: #000; --other: #0b3d91; --asked: #8a1c00; --difference: #5b0f7a; --limit: #4d3800;
  --off: #fff; --armed: #dcdcdc; --flowing: #bfe3bf; --tripped: #f7bcbc; --arming: #efe6b3; --reason: #f2cda2; --bit: #cfd9e8;
`;
const DARK = `
  --ground: #000; --ink: #fff; --rule: #444; --flow: #0d2413;
  --run: #fff; --other: #7fd0ff; --asked: #ffb38a; --difference: #e0a8ff; --limit: #ffe08a;
  --off: #000; --armed: #3d3d3d; --flowing: #0f5a2a; --tripped: #7a1010; --arming: #544500; --reason: #643600; --bit: #2c3e57;
`;

/** Where something stands on the shared axis: `--a` and `--b` are its places, `--x0` and `--span` the view. */
const LEFT = "calc((var(--a) - var(--x0)) * 100% / var(--span))";
const WIDTH = "calc((var(--b) - var(--a)) * 100% / var(--span))";

export const STYLE = `
  :root { color-scheme: light dark; ${LIGHT} }
  @media screen and (prefers-color-scheme: dark) { :root { ${DARK} } }
  * { box-sizing: border-box; }
  html { overflow-x: clip; } body { font: 16px/1.4 system-ui, sans-serif; color: var(--ink); background: var(--ground); max-width: 75rem; margin: 0 auto; padding: .8rem; overflow-wrap: anywhere; }
  h1 { font-size: 1.4rem; margin: 0 0 .3rem; } h2 { font-size: 1.15rem; margin: 1.6rem 0 .4rem; border-bottom: 2px solid; } p { margin: .2rem 0; }
  a { color: inherit; } ol.story { list-style: none; padding: 0; margin: 0; } ol.story li { display: flex; gap: .8rem; padding: .15rem 0; border-bottom: 1px solid var(--rule); }
  ol.story a { flex: none; width: 5.2rem; text-align: right; font-variant-numeric: tabular-nums; } .trip { font-weight: bold; }
  table { border-collapse: collapse; width: 100%; } th, td { text-align: left; vertical-align: top; padding: .15rem .6rem .15rem 0; border-bottom: 1px solid var(--rule); } td:nth-child(2) { white-space: nowrap; }
  .caution { border: 3px solid; padding: .3rem 1rem; } .bar-of-tools { display: flex; flex-wrap: wrap; gap: .4rem; align-items: center; margin: .4rem 0; }
  button { font: inherit; color: inherit; background: var(--ground); border: 2px solid; border-radius: .3rem; padding: .25rem .6rem; min-height: 2.6rem; } kbd { font: inherit; font-weight: bold; }
  .plots { position: relative; outline-offset: 3px; touch-action: pan-y; user-select: none; }
  .panel { padding: 0 0 .5rem; break-inside: avoid; } .legend { display: flex; flex-wrap: wrap; gap: 0 1rem; font-size: .9rem; align-items: baseline; }
  .legend output { font-weight: bold; font-variant-numeric: tabular-nums; } svg.key { width: 40px; height: 10px; }
  .plot .row { margin-top: .35rem; } .row { display: flex; } .gutter { position: relative; flex: none; width: var(--gutter); font-size: .8rem; text-align: right; padding-right: .3rem; }
  .gutter span { position: absolute; right: .3rem; transform: translateY(-50%); }
  .track { position: relative; flex: 1; min-width: 0; overflow: hidden; } .plot .track { height: 8.5rem; border: 1px solid; } .track > svg { position: absolute; inset: 0; width: 100%; height: 100%; }
  .track path, svg.key path { fill: none; vector-effect: non-scaling-stroke; stroke-width: 2; }
  path.rule { stroke: var(--rule); stroke-width: 1; } path.limit { stroke: var(--limit); stroke-dasharray: 1 5; stroke-linecap: round; }
  path.run { stroke: var(--run); } path.other { stroke: var(--other); stroke-dasharray: 8 4; } path.asked { stroke: var(--asked); stroke-dasharray: 3 3; } path.difference { stroke: var(--difference); stroke-dasharray: 12 3 3 3; }
  .at { position: absolute; top: 0; bottom: 0; left: ${LEFT}; } .grid .at { border-left: 1px solid var(--rule); } .marks .at { border-left: 2px dotted; }
  .cursor { position: absolute; top: 0; bottom: 0; width: 0; border-left: 2px solid; display: none; --a: var(--c); left: ${LEFT}; } .has-cursor .cursor { display: block; }
  .picked { position: absolute; top: 0; bottom: 0; border: 2px solid; display: none; left: calc((var(--p) - var(--x0)) * 100% / var(--span)); width: calc((var(--q) - var(--p)) * 100% / var(--span)); } .picking .picked { display: block; }
  .span { position: absolute; top: 0; bottom: 0; left: ${LEFT}; width: ${WIDTH}; min-width: 2px; } .flows .span { background: var(--flow); min-width: 0; }
  .lane { font-size: .8rem; line-height: 1.25rem; } .lane .track { height: 1.3rem; margin-bottom: 2px; } .lane .gutter { padding: 0; font-size: .7rem; text-align: left; white-space: nowrap; overflow: hidden; text-overflow: ellipsis; }
  .lanes .legend { font-weight: bold; } .lane .span { background: var(--bit); white-space: nowrap; overflow: clip; } .lane .span b { position: sticky; left: 2px; font-weight: normal; padding: 0 2px; }
  .lane.reason .span { background: var(--reason); } .lane.mode .span { background: var(--off); outline: 1px solid; outline-offset: -1px; }
  .lane .span.armed { background: var(--armed); } .lane .span.flowing { background: var(--flowing); } .lane .span.tripped, .lane .span.locked { background: var(--tripped); } .lane .span.arming { background: var(--arming); }
  .flags .track { height: 6.2rem; overflow: hidden; } [hidden] { display: none !important; } .flags .at { bottom: auto; top: calc(var(--row) * 1.2rem); border-left: 2px solid; padding-left: .2rem; font-size: .8rem; line-height: 1.15rem; white-space: nowrap; text-decoration: none; }
  .foot { position: sticky; bottom: 0; background: var(--ground); border-top: 2px solid; padding: .1rem 0; } .ticks .track { height: 1.3rem; font-size: .8rem; overflow: visible; } .ticks .at { transform: translateX(-50%); white-space: nowrap; }
  .now { display: block; min-height: 1.4rem; font-size: .95rem; } .panel .ticks { display: none; }
  :root { --gutter: clamp(3.2rem, 13vw, 7rem); }
  @media print { @page { margin: 12mm; } body { max-width: none; padding: 0; } .bar-of-tools, .cursor, .picked, .foot { display: none !important; } .panel .ticks { display: flex; } h2 { break-after: avoid; } .track, .span { print-color-adjust: exact; -webkit-print-color-adjust: exact; } }
`;

// The look of charts: everything on the shared axis has its place as a number, and the view's two variables move all of it.

/** Where something stands on the shared axis: `--a` and `--b` are its places, `--x0` and `--span` the view. */
const LEFT = "calc((var(--a) - var(--x0)) * 100% / var(--span))";
const WIDTH = "calc((var(--b) - var(--a)) * 100% / var(--span))";

/** Words in a bar stand whole or not at all: behind a piece of no width they go to a second line where they do not fit, and that line is cut off. */
const WHOLE_WORDS = `
  .lane .span, .stretches .span { display: flex; flex-wrap: wrap; align-content: flex-start; overflow: clip; white-space: nowrap; }
  .lane .span::before, .stretches .span::before { content: ""; height: 100%; }
`;

/** A narrow screen has no room beside a lane for its name: it stands above it. */
const NARROW =
  ":root { --gutter: 3.2rem; } .lane { flex-wrap: wrap; } .lane .gutter { width: 100%; } .lane .track { margin-left: var(--gutter); }";

export const CHART_STYLE = `
  :root { --gutter: 8rem; }
  .chart { margin: .6rem 0 1.4rem; } .bar-of-tools { display: flex; flex-wrap: wrap; gap: .4rem; align-items: center; margin: .4rem 0; }
  .shade { display: inline-block; width: 2.5rem; height: .9rem; vertical-align: middle; background: var(--flow); border: 1px solid; }
  .plots { position: relative; outline-offset: 3px; touch-action: pan-y; user-select: none; }
  .panel { padding: 0 0 .5rem; break-inside: avoid; } .legend { display: flex; flex-wrap: wrap; gap: 0 1rem; font-size: .9rem; align-items: baseline; }
  .legend output { font-weight: bold; font-variant-numeric: tabular-nums; } svg.key { width: 40px; height: 10px; } .notes { font-size: .9rem; padding-left: var(--gutter); }
  .plot .row { margin-top: .35rem; } .row { display: flex; } .gutter { position: relative; flex: none; width: var(--gutter); font-size: .8rem; text-align: right; padding-right: .3rem; }
  .gutter span { position: absolute; right: .3rem; transform: translateY(-50%); }
  .track { position: relative; flex: 1; min-width: 0; overflow: hidden; } .plot .track { height: 8.5rem; border: 1px solid; } .track > svg { position: absolute; inset: 0; width: 100%; height: 100%; }
  .track path, svg.key path { fill: none; vector-effect: non-scaling-stroke; stroke-width: 2; } path.rule { stroke: var(--rule); stroke-width: 1; }
  .at { position: absolute; top: 0; bottom: 0; left: ${LEFT}; } .grid .at { border-left: 1px solid var(--rule); } .marks .at { border-left: 2px dotted; }
  .cursor { position: absolute; top: 0; bottom: 0; width: 0; border-left: 2px solid; display: none; --a: var(--c); left: ${LEFT}; } .has-cursor .cursor { display: block; }
  .picked { position: absolute; top: 0; bottom: 0; border: 2px solid; display: none; left: calc((var(--p) - var(--x0)) * 100% / var(--span)); width: calc((var(--q) - var(--p)) * 100% / var(--span)); } .picking .picked { display: block; }
  .span { position: absolute; top: 0; bottom: 0; left: ${LEFT}; width: ${WIDTH}; min-width: 2px; } .flows .span { background: var(--flow); min-width: 0; }
  .stretches .span { border: 0 solid; border-width: 0 1px; top: auto; height: 1.15rem; background: var(--ground); font-size: .75rem; line-height: 1.1rem; border-top-width: 1px; } .stretches b { font-weight: normal; padding: 0 2px; }
  ${WHOLE_WORDS}
  .lane { font-size: .8rem; line-height: 1.25rem; } .lane .track { height: 1.3rem; margin-bottom: 2px; } .lane .gutter { padding: 0; font-size: .7rem; text-align: left; white-space: nowrap; }
  .lanes .legend { font-weight: bold; } .lane .span { background: var(--bit); } .lane .span b { position: sticky; left: 2px; font-weight: normal; padding: 0 2px; }
  .lane.reason .span { background: var(--reason); } .lane.mode .span { background: var(--off); outline: 1px solid; outline-offset: -1px; }
  .lane .span.armed { background: var(--armed); } .lane .span.flowing { background: var(--flowing); } .lane .span.tripped, .lane .span.locked { background: var(--tripped); } .lane .span.arming { background: var(--arming); }
  .flags .track { height: 5rem; overflow: hidden; } .flags .at { bottom: auto; top: calc(var(--row) * 1.2rem); border-left: 2px solid; padding-left: .2rem; font-size: .8rem; line-height: 1.15rem; white-space: nowrap; text-decoration: none; } .flags .at.flipped { border-left: 0; border-right: 2px solid; padding: 0 .2rem 0 0; transform: translateX(-100%); } .flags .at:focus-visible { outline-offset: -3px; }
  .foot { position: sticky; bottom: 0; background: var(--ground); border-top: 2px solid; padding: .1rem 0; } .ticks .track { height: 1.3rem; font-size: .8rem; overflow: visible; } .plot .ticks .track { border: 0; } .ticks .at { transform: translateX(-50%); white-space: nowrap; }
  .axis-name { font-size: .8rem; text-align: right; } .now { display: block; min-height: 1.4rem; font-size: .95rem; } .panel .ticks, .panel .axis-name { display: none; }
  .for-paper { width: 180mm; }
  @media screen and (max-width: 60rem) { ${NARROW} }
  @media print { .chart { max-width: 180mm; } .cursor, .picked, .foot { display: none !important; } .panel .ticks { display: flex; } .panel .axis-name { display: block; } .flags, p:has(> .shade) { break-inside: avoid; break-after: avoid; } .track, .span, .shade { print-color-adjust: exact; -webkit-print-color-adjust: exact; } }
`;

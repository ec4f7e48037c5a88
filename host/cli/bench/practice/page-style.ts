// Looks of the practice board's page: light and dark, one column on a phone; states are told by words and shape before colour.

export const STYLE = `
  :root { color-scheme: light dark; --ink: #111; --paper: #fff; --line: #666; --faint: #eee; --s1: #00429d; --s2: #9d2500; --s3: #00601f; --s4: #6a1b9a; }
  @media (prefers-color-scheme: dark) { :root { --ink: #f2f2f2; --paper: #121212; --line: #aaa; --faint: #262626; --s1: #9ecbff; --s2: #ffb59e; --s3: #9be8ae; --s4: #e2b8ff; } }
  * { box-sizing: border-box; }
  body { font: 16px/1.45 system-ui, sans-serif; color: var(--ink); background: var(--paper); margin: 0; }
  main { max-width: 70rem; margin: 0 auto; padding: 1rem; }
  h1 { font-size: 1.4rem; margin: 0; } h2 { font-size: 1.15rem; margin: 1.4rem 0 .4rem; border-bottom: 2px solid var(--ink); } h3 { font-size: 1rem; margin: .8rem 0 .2rem; }
  .verdict { border: 3px solid var(--ink); padding: .4rem 1rem; }
  #headline { font-size: 1.4rem; font-weight: bold; margin: .2rem 0; overflow-wrap: anywhere; }
  dl { margin: .3rem 0; height: 13rem; overflow: auto; } dt { font-weight: bold; } dd { margin: 0 0 .3rem 1rem; }
  #told { font-weight: bold; min-height: 1.45em; margin: .4rem 0; }
  ul { list-style: none; margin: 0; padding: 0; } #lamps { display: flex; flex-wrap: wrap; gap: .3rem; }
  #lamps li { border: 2px solid var(--line); border-radius: .4rem; padding: .1rem .6rem; } #lamps li.lit { background: var(--ink); color: var(--paper); border-color: var(--ink); font-weight: bold; }
  .columns { display: grid; grid-template-columns: repeat(auto-fit, minmax(min(100%, 22rem), 1fr)); gap: 0 2rem; }
  .row { display: flex; flex-wrap: wrap; align-items: center; gap: .5rem; margin: .35rem 0; } label.row { flex-wrap: nowrap; } label.row span { flex: 1; } input { flex: none; }
  .value { display: grid; grid-template-columns: 9rem 1fr; gap: 0 .6rem; align-items: center; margin: .5rem 0; }
  input[type=range] { width: 100%; min-width: 0; } input[type=checkbox] { width: 1.3rem; height: 1.3rem; margin: 0; }
  button, select { font: inherit; color: inherit; background: var(--faint); border: 2px solid var(--line); border-radius: .3rem; padding: .3rem .7rem; min-height: 2.4rem; max-width: 100%; }
  :focus-visible { outline: 3px solid var(--s1); outline-offset: 2px; }
  svg { width: 100%; height: 9rem; background: var(--faint); display: block; } svg text { fill: var(--ink); font-size: 11px; }
  .s1 { stroke: var(--s1); } .s2 { stroke: var(--s2); stroke-dasharray: 8 3; } .s3 { stroke: var(--s3); stroke-dasharray: 3 3; } .s4 { stroke: var(--s4); stroke-dasharray: 10 3 2 3; }
  polyline, .key { fill: none; stroke-width: 2.5; } .grid { stroke: var(--line); stroke-width: .5; }
  #legend { display: flex; flex-wrap: wrap; gap: 1rem; } #legend svg { display: inline; width: 3rem; height: .8rem; background: none; vertical-align: middle; }
  #held { height: 11rem; overflow: auto; } #held .strip { display: grid; grid-template-columns: 8.5rem 1fr; align-items: center; font-size: .9rem; } #held svg { height: 1.1rem; } #held rect { fill: var(--ink); }
`;

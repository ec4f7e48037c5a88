// What the practice board's page has beside the look of every page: lamps, sliders, plots of the last seconds.

export const PRACTICE_STYLE = `
  h1 { font-size: 1.4rem; } .verdict { border: 3px solid; padding: .4rem 1rem; }
  #headline { margin: .2rem 0; } #held-by { font-weight: bold; min-height: 1.45em; } dl { margin: .3rem 0; min-height: 11rem; columns: 20rem auto; } dl > div { break-inside: avoid; } dt { font-weight: bold; } dd { margin: 0 0 .3rem 1rem; }
  #told { font-weight: bold; min-height: 1.45em; margin: .4rem 0; }
  ul { list-style: none; margin: 0; padding: 0; } #lamps { display: flex; flex-wrap: wrap; gap: .3rem; }
  #lamps li { border: 2px solid; border-radius: .4rem; padding: .1rem .6rem; } #lamps li.lit { background: var(--ink); color: var(--ground); border-color: var(--ink); font-weight: bold; }
  .columns { display: grid; grid-template-columns: repeat(auto-fit, minmax(min(100%, 22rem), 1fr)); gap: 0 2rem; }
  .row { display: flex; flex-wrap: wrap; align-items: center; gap: .5rem; margin: .35rem 0; } label.row { flex-wrap: nowrap; } label.row span { flex: 1; } input { flex: none; }
  .value { display: grid; grid-template-columns: 9rem 1fr; gap: 0 .6rem; align-items: center; margin: .5rem 0; }
  input[type=range] { width: 100%; min-width: 0; } input[type=checkbox] { width: 1.3rem; height: 1.3rem; margin: 0; }
  svg { width: 100%; height: 9rem; background: var(--faint); display: block; } svg text { fill: var(--ink); font-size: 11px; }
  polyline, .key { fill: none; stroke-width: 2.5; } .grid { stroke: var(--rule); stroke-width: 1; }
  #legend { display: flex; flex-wrap: wrap; gap: 1rem; } #legend svg { display: inline; width: 3rem; height: .8rem; background: none; vertical-align: middle; }
  /* Where there is no room for all of it the box keeps its height, so that nothing moves away under a finger. */
  @media screen and (max-width: 74rem) { dl { height: 11rem; overflow: auto; columns: auto; } }
  #held { height: 11rem; overflow: auto; } #held .strip { display: grid; grid-template-columns: 8.5rem 1fr; align-items: center; font-size: .9rem; } #held svg { height: 1.1rem; } #held rect { fill: var(--ink); }
`;

// A pen for schematic sheets: lines, labels and parts as SVG. Every pin, wire and label has its place, so that the drawing can be read back.

/** A place on a sheet, px. */
export type Spot = readonly [x: number, y: number];

const escaped = (text: string): string =>
  text.replaceAll("&", "&amp;").replaceAll("<", "&lt;").replaceAll(">", "&gt;");

/** Line of a symbol: no wire, joins nothing. */
export const stroke = (...spots: readonly Spot[]): string =>
  `<polyline class="s" points="${spots.map((spot) => spot.join(",")).join(" ")}"/>`;

/** A wire: whatever lies at one of its ends or corners is joined. */
export const wire = (...spots: readonly Spot[]): string =>
  `<polyline class="n" points="${spots.map((spot) => spot.join(",")).join(" ")}"/>`;

export const rect = ([x, y]: Spot, width: number, height: number): string =>
  `<rect class="s" x="${x}" y="${y}" width="${width}" height="${height}"/>`;

export const ring = ([x, y]: Spot, r: number): string => `<circle class="s" cx="${x}" cy="${y}" r="${r}"/>`;

export const filled = (...spots: readonly Spot[]): string =>
  `<polygon class="f" points="${spots.map((spot) => spot.join(",")).join(" ")}"/>`;

/** Words at a place. */
export function words([x, y]: Spot, text: string, style = "t", anchor = "start"): string {
  return `<text class="${style}" x="${x}" y="${y}" text-anchor="${anchor}">${escaped(text)}</text>`;
}

/** A pin of a part at a place where wires may end. */
export const pinAt = (pin: string, [x, y]: Spot): string =>
  `<circle class="p" data-pin="${escaped(pin)}" cx="${x}" cy="${y}" r="1.5"/>`;

/** A dot where wires meet. */
export const dot = ([x, y]: Spot): string => `<circle class="f" cx="${x}" cy="${y}" r="3.5"/>`;

/** The name of a net at a place. `side` says where the text stands from it, `along` how far along the wire it is moved. */
export function label(net: string, [x, y]: Spot, side: "left" | "right" | "up" | "down", along = 0): string {
  const shift = { left: [-6, 5], right: [6, 5], up: [along, -7], down: [along, 17] }[side] as unknown as Spot;
  const anchor = side === "left" ? "end" : side === "right" ? "start" : "middle";
  const at = `data-x="${x}" data-y="${y}"`;
  return `<text class="l" ${at} x="${x + shift[0]}" y="${y + shift[1]}" text-anchor="${anchor}">${escaped(net)}</text>`;
}

/** The two grounds have signs of their own, with their names beside them. */
export function ground(net: "gnd" | "star", [x, y]: Spot): string {
  const sign =
    net === "star"
      ? filled([x - 11, y], [x + 11, y], [x, y + 13])
      : [11, 7, 3].map((half, i) => stroke([x - half, y + 4 * i], [x + half, y + 4 * i])).join("");
  return `${sign}<text class="l" data-x="${x}" data-y="${y}" x="${x}" y="${y + 27}" text-anchor="middle">${net}</text>`;
}

const STYLE =
  "polyline,rect,circle{fill:none;stroke:#000;stroke-width:1.8}.f{fill:#000;stroke:#000}.p{fill:#000}" +
  "text{font-family:Helvetica,Arial,sans-serif;font-size:15px;fill:#000}.h{font-size:22px;font-weight:bold}" +
  ".r{font-weight:bold}.t{font-size:14px}.l{font-size:14px;fill:#00409a}";

/** Width of a sheet, px: on A4 across, letters of 14 px are then as tall as those of a book. */
export const SHEET_WIDTH = 1200;

/** A whole sheet. */
export function sheetSvg(title: string, said: string, width: number, height: number, body: string): string {
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${width} ${height}" width="${width}" height="${height}" role="img">`,
    `<title>${escaped(title)}</title>`,
    `<style>${STYLE}</style>`,
    `<rect x="0" y="0" width="${width}" height="${height}" style="fill:#fff;stroke:none"/>`,
    words([30, 42], title, "h"),
    words([30, 66], said, "t"),
    body,
    "</svg>\n",
  ].join("\n");
}

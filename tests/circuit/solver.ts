// Direct voltages of a network of conductances: nodal analysis by elimination, the node with the fewest neighbours first.

/** A network under construction: conductances between nodes in siemens, and currents into nodes in amperes. Node 0 is the reference. */
export class Network {
  readonly #rows: Map<number, number>[];
  readonly #into: Float64Array;

  constructor(nodes: number) {
    this.#rows = Array.from({ length: nodes }, (_, i) => new Map([[i, 1e-9]]));
    this.#into = new Float64Array(nodes);
  }

  #add(row: number, column: number, siemens: number): void {
    const cells = this.#rows[row]!;
    cells.set(column, (cells.get(column) ?? 0) + siemens);
  }

  /** A branch from a to b with current g (Va - Vb - volts). */
  branch(a: number, b: number, siemens: number, volts = 0): void {
    if (a === b) return;
    this.#add(a, a, siemens);
    this.#add(b, b, siemens);
    this.#add(a, b, -siemens);
    this.#add(b, a, -siemens);
    this.#into[a]! += siemens * volts;
    this.#into[b]! -= siemens * volts;
  }

  /** Voltage of each node against node 0. Consumes the network. */
  solve(): Float64Array {
    const order: number[] = [];
    const left = new Set(Array.from({ length: this.#rows.length - 1 }, (_, i) => i + 1));
    while (left.size > 0) {
      const node = this.#fewest(left);
      left.delete(node);
      order.push(node);
      this.#eliminate(node, left);
    }
    return this.#back(order);
  }

  #fewest(left: ReadonlySet<number>): number {
    let best = -1;
    let size = Number.POSITIVE_INFINITY;
    for (const node of left) {
      const degree = this.#rows[node]!.size;
      if (degree >= size) continue;
      best = node;
      size = degree;
      if (degree <= 2) break;
    }
    return best;
  }

  /** Takes a node out of the rows of those that are left; its own row stays as it is for the way back. */
  #eliminate(node: number, left: ReadonlySet<number>): void {
    const row = this.#rows[node]!;
    const pivot = row.get(node)!;
    for (const [other, cell] of row) {
      if (!left.has(other)) continue;
      const factor = cell / pivot;
      const target = this.#rows[other]!;
      for (const [column, value] of row) {
        if (column === node || column === 0) continue;
        target.set(column, (target.get(column) ?? 0) - factor * value);
      }
      target.delete(node);
      this.#into[other]! -= factor * this.#into[node]!;
    }
    row.delete(0);
  }

  #back(order: readonly number[]): Float64Array {
    const volts = new Float64Array(this.#rows.length);
    for (const node of [...order].reverse()) {
      let sum = this.#into[node]!;
      for (const [other, cell] of this.#rows[node]!) if (other !== node) sum -= cell * volts[other]!;
      volts[node] = sum / this.#rows[node]!.get(node)!;
    }
    return volts;
  }
}

// Circles in a directed graph: the groups of nodes that can all reach one another (strongly connected components, Tarjan 1972).

/** Nodes, each with the nodes that it points to. */
export type Graph = ReadonlyMap<string, readonly string[]>;

/** Every group of two or more nodes that lie on a circle together, each group sorted. */
export function circlesOf(graph: Graph): string[][] {
  const order = new Map<string, number>();
  const lowest = new Map<string, number>();
  const stack: string[] = [];
  const circles: string[][] = [];
  const visit = (node: string): void => {
    order.set(node, order.size);
    lowest.set(node, order.get(node)!);
    stack.push(node);
    for (const next of graph.get(node) ?? []) {
      if (!order.has(next)) visit(next);
      if (stack.includes(next)) lowest.set(node, Math.min(lowest.get(node)!, lowest.get(next)!));
    }
    if (lowest.get(node) !== order.get(node)) return;
    const group = stack.splice(stack.indexOf(node)).sort();
    if (group.length > 1) circles.push(group);
  };
  for (const node of graph.keys()) if (!order.has(node)) visit(node);
  return circles;
}

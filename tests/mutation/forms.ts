// The two forms of a core with mistakes: asleep, to be woken one at a time, and watched, which tells where one would have mattered.
import ts from "typescript";
import { FORGOTTEN, type Mistake } from "./operators.ts";
import { isPure } from "./pure.ts";

/** A mistake with its number. */
export type Numbered = Mistake & { readonly id: number };

/** How a place with mistakes is written; `inner` is its text with those of its parts. */
export interface Form {
  expression(node: ts.Expression, mistakes: readonly Numbered[], inner: string): string;
  statement(node: ts.ExpressionStatement, mistakes: readonly Numbered[], inner: string): string;
}

/** Each is asleep until `mutant` is its number. */
export const ASLEEP: Form = {
  expression: (_node, mistakes, inner) =>
    `(${mistakes.map(({ id, text }) => `mutant === ${id} ? (${text}) : `).join("")}(${inner}))`,
  statement: (_node, mistakes, inner) =>
    `{ ${mistakes.map(({ id, text }) => `if (mutant === ${id}) { ${text} } else `).join("")}{ ${inner}; } }`,
};

const mark = (id: number, differs: string): string => `see${id >> 5}(u32(${differs}) << ${id & 31})`;
const always = (id: number): string => mark(id, "true");

/** What a statement puts where, by its right side: `a = b`, `a += b`, `store(...)`; and what stood there before. */
interface Put {
  readonly place: string;
  value(operator: string): string;
}

const STORE = /^store(<\w+>)?$/;

function putOf(node: ts.Expression, pure: ReadonlySet<string>): Put | undefined {
  if (ts.isBinaryExpression(node) && isPure(node.left, pure) && isPure(node.right, pure)) {
    const [place, right] = [node.left.getText(), node.right.getText()];
    return {
      place,
      value: (operator) =>
        operator === "=" ? `(${right})` : `(${place} ${operator.slice(0, -1)} (${right}))`,
    };
  }
  if (!ts.isCallExpression(node) || !STORE.test(node.getText().split("(")[0]!)) return undefined;
  if (!node.arguments.every((argument) => isPure(argument, pure))) return undefined;
  const [address, value, ...offset] = node.arguments.map((argument) => argument.getText());
  const type = node.typeArguments?.[0]?.getText() ?? "u32";
  return { place: `load<${type}>(${[address, ...offset].join(", ")})`, value: () => `(${value})` };
}

const hasCall = (node: ts.Node): boolean =>
  ts.isCallExpression(node) || ts.forEachChild(node, hasCall) === true;

/**
 * Where `&&` and `||` are taken for each other, the wrong one would look at the right side where the program does not; a
 * load there may trap. Then every value of the left side that keeps the program from looking counts as a difference.
 */
function lookedAt(node: ts.Expression): string | undefined {
  if (!ts.isBinaryExpression(node) || !hasCall(node.right)) return undefined;
  const [left, right] = [node.left.getText(), node.right.getText()];
  if (node.operatorToken.kind === ts.SyntaxKind.AmpersandAmpersandToken) return `!(${left}) || !(${right})`;
  return node.operatorToken.kind === ts.SyntaxKind.BarBarToken ? `!!(${left}) || !!(${right})` : undefined;
}

const isDecision = (text: string): boolean => text === "true" || text === "false";

/** Marks a mistake when it makes a difference where it stands; one that cannot be compared, whenever it is reached. */
export function watched(pure: ReadonlySet<string>, isUnclear: (id: number) => boolean): Form {
  const inExpression = (node: ts.Expression, { id, text }: Numbered): string => {
    if (isUnclear(id) || !isPure(node, pure)) return always(id);
    if (isDecision(text)) return mark(id, `!!(${node.getText()}) != ${text}`);
    return mark(id, lookedAt(node) ?? `(${node.getText()}) != (${text})`);
  };

  const inStatement = (node: ts.Expression, { id, what }: Numbered): string => {
    const put = isUnclear(id) ? undefined : putOf(node, pure);
    if (!put) return always(id);
    const right = put.value(ts.isBinaryExpression(node) ? node.operatorToken.getText() : "=");
    if (what === FORGOTTEN) return mark(id, `${put.place} != ${right}`);
    return mark(id, `${right} != ${put.value(what.slice(what.lastIndexOf(" ") + 1))}`);
  };
  return {
    expression: (node, mistakes, inner) =>
      `(${mistakes.map((mistake) => inExpression(node, mistake)).join(", ")}, (${inner}))`,
    statement: ({ expression }, mistakes, inner) =>
      `{ ${mistakes.map((mistake) => `${inStatement(expression, mistake)};`).join(" ")} ${inner}; }`,
  };
}

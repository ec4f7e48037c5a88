// Which expressions of the control core may be worked out once more: they change nothing.
import ts from "typescript";

const K = ts.SyntaxKind;
/** Of the language itself. Casts are `as` and need no entry. */
const BUILT_IN = ["load", "min", "max", "abs", "clz", "ctz", "popcnt", "select", "changetype", "unreachable"];

const isAssignment = (node: ts.Node): node is ts.BinaryExpression =>
  ts.isBinaryExpression(node) &&
  node.operatorToken.kind >= K.FirstAssignment &&
  node.operatorToken.kind <= K.LastAssignment;

const isCount = (node: ts.Node): node is ts.PrefixUnaryExpression | ts.PostfixUnaryExpression =>
  (ts.isPrefixUnaryExpression(node) || ts.isPostfixUnaryExpression(node)) &&
  (node.operator === K.PlusPlusToken || node.operator === K.MinusMinusToken);

/** What a piece of source changes must be a variable of its own, and what it calls must be in `calls`. */
function changesNothing(node: ts.Node, calls: ReadonlySet<string>, own: ReadonlySet<string>): boolean {
  const isOwn = (target: ts.Expression): boolean => ts.isIdentifier(target) && own.has(target.text);
  if (isAssignment(node) && !isOwn(node.left)) return false;
  if (isCount(node) && !isOwn(node.operand)) return false;
  if (ts.isCallExpression(node) && !calls.has(node.expression.getText())) return false;
  return !ts.forEachChild(node, (child) => !changesNothing(child, calls, own));
}

function ownNames(body: ts.Node): Set<string> {
  const names = new Set<string>();
  const look = (node: ts.Node): void => {
    if (ts.isVariableDeclaration(node)) names.add(node.name.getText());
    ts.forEachChild(node, look);
  };
  look(body);
  return names;
}

/** Names of the functions, of all source texts, that change nothing: those that call one which does are struck off until none is left. */
export function pureFunctions(texts: readonly string[]): Set<string> {
  const functions = texts
    .map((text) => ts.createSourceFile("core.ts", text, ts.ScriptTarget.Latest, true))
    .flatMap((file) => file.statements.filter(ts.isFunctionDeclaration))
    .filter(({ body }) => body !== undefined);
  const pure = new Set([...BUILT_IN, ...functions.map(({ name }) => name!.text)]);
  for (let before = 0; before !== pure.size; ) {
    before = pure.size;
    for (const { name, body } of functions)
      if (!changesNothing(body!, pure, ownNames(body!))) pure.delete(name!.text);
  }
  return pure;
}

/** May this expression be worked out twice? `pure` are the functions it may call. */
export const isPure = (node: ts.Node, pure: ReadonlySet<string>): boolean =>
  changesNothing(node, pure, new Set());

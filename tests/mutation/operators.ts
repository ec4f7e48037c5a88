// What can be wrong with a piece of the control core's source: for each expression or statement its small, plausible mistakes.
import ts from "typescript";

/** One mistake: what it is called, and the text that takes the place of the node's. */
export interface Mistake {
  readonly what: string;
  readonly text: string;
}

/** The mistake of a whole statement. */
export const FORGOTTEN = "statement forgotten";

const K = ts.SyntaxKind;

/** For each operator those it is mistaken for. */
const OPERATORS: Partial<Record<ts.SyntaxKind, readonly string[]>> = {
  [K.LessThanToken]: ["<=", ">="],
  [K.LessThanEqualsToken]: ["<", ">"],
  [K.GreaterThanToken]: [">=", "<="],
  [K.GreaterThanEqualsToken]: [">", "<"],
  [K.EqualsEqualsEqualsToken]: ["!=="],
  [K.ExclamationEqualsEqualsToken]: ["==="],
  [K.AmpersandAmpersandToken]: ["||"],
  [K.BarBarToken]: ["&&"],
  [K.PlusToken]: ["-"],
  [K.MinusToken]: ["+"],
  [K.AsteriskToken]: ["+"],
  [K.SlashToken]: ["*"],
  [K.PercentToken]: ["+"],
  [K.LessThanLessThanToken]: [">>"],
  [K.GreaterThanGreaterThanToken]: ["<<"],
  [K.AmpersandToken]: ["|"],
  [K.BarToken]: ["&"],
  [K.CaretToken]: ["&"],
  [K.PlusEqualsToken]: ["-=", "="],
  [K.MinusEqualsToken]: ["+=", "="],
  [K.AsteriskEqualsToken]: ["="],
  [K.BarEqualsToken]: ["&=", "="],
  [K.AmpersandEqualsToken]: ["|=", "="],
};
const SWAPPED: Readonly<Record<string, string>> = { min: "max", max: "min" };

function ofBinary(node: ts.BinaryExpression): Mistake[] {
  const sign = node.operatorToken.getText();
  return (OPERATORS[node.operatorToken.kind] ?? []).map((other) => ({
    what: `${sign} taken for ${other}`,
    text: `${node.left.getText()} ${other} ${node.right.getText()}`,
  }));
}

function ofPrefix(node: ts.PrefixUnaryExpression): Mistake[] {
  const operand = node.operand.getText();
  if (node.operator === K.ExclamationToken) return [{ what: "! forgotten", text: `!!${operand}` }];
  if (node.operator === K.TildeToken) return [{ what: "~ forgotten", text: operand }];
  if (node.operator === K.MinusToken && !ts.isNumericLiteral(node.operand))
    return [{ what: "- forgotten", text: operand }];
  return [];
}

function ofCall(node: ts.CallExpression): Mistake[] {
  const name = node.expression.getText();
  const other = SWAPPED[name];
  if (other === undefined) return [];
  return [{ what: `${name} taken for ${other}`, text: other + node.getText().slice(name.length) }];
}

/** Where an expression decides which way to go, it may always go the same way. A loop may only be left out. */
function ofDecision(node: ts.Expression): Mistake[] {
  const { parent } = node;
  const never = { what: "never", text: "false" };
  if ((ts.isWhileStatement(parent) && parent.expression === node) || isLoopCondition(node)) return [never];
  const decides =
    (ts.isIfStatement(parent) && parent.expression === node) ||
    (ts.isConditionalExpression(parent) && parent.condition === node);
  return decides ? [never, { what: "always", text: "true" }] : [];
}

function isLoopCondition(node: ts.Expression): boolean {
  return ts.isForStatement(node.parent) && node.parent.condition === node;
}

/** A named number of the file itself may be half as large again. */
function ofName(node: ts.Identifier, numbers: ReadonlySet<string>): Mistake[] {
  const name = node.text;
  if (!numbers.has(name)) return [];
  return [{ what: `${name} half as large again`, text: `(${name} + (${name} >> 1) + 1)` }];
}

/** Mistakes in one expression itself, not in its parts. `numbers` are the file's named numbers. */
export function mistakesIn(node: ts.Expression, numbers: ReadonlySet<string>): Mistake[] {
  const own = ts.isBinaryExpression(node)
    ? ofBinary(node)
    : ts.isPrefixUnaryExpression(node)
      ? ofPrefix(node)
      : ts.isCallExpression(node)
        ? ofCall(node)
        : ts.isIdentifier(node)
          ? ofName(node, numbers)
          : [];
  if (node.kind === K.TrueKeyword) return [{ what: "true taken for false", text: "false" }];
  if (node.kind === K.FalseKeyword) return [{ what: "false taken for true", text: "true" }];
  return [...own, ...ofDecision(node)];
}

/** May the statement be forgotten as a whole? Declarations and returns may not: nothing would compile. */
export function canBeForgotten(node: ts.Node): node is ts.ExpressionStatement {
  return ts.isExpressionStatement(node);
}

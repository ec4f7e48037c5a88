// All mistakes of a source file in one text, in one of the forms of forms.ts.
import ts from "typescript";
import type { Form, Numbered } from "./forms.ts";
import { canBeForgotten, FORGOTTEN, type Mistake, mistakesIn } from "./operators.ts";

/** One mutant of the control core. */
export interface Mutant {
  readonly id: number;
  readonly file: string;
  /** From 1. */
  readonly line: number;
  /** Function it is in. */
  readonly where: string;
  readonly what: string;
  /** The source that is wrong, in one line. */
  readonly source: string;
  /** Which of those that are alike in all this, from 1. */
  readonly nth: number;
}

/** A rewritten file with its mistakes. */
export interface Schemata {
  readonly text: string;
  readonly mutants: readonly Mutant[];
}

/** Arguments from this one on must be constants for the compiler. */
const CONSTANT_FROM: Readonly<Record<string, number>> = { load: 1, store: 2 };

/** Numbers that the file names at its top: `const NAME: u32 = ...` and the other plain integers, not addresses. */
function namedNumbers(file: ts.SourceFile): Set<string> {
  const names = new Set<string>();
  for (const statement of file.statements) {
    if (!ts.isVariableStatement(statement)) continue;
    for (const { name, type } of statement.declarationList.declarations)
      if (/^[ui]32$/.test(type?.getText() ?? "") && name.getText() === name.getText().toUpperCase())
        names.add(name.getText());
  }
  return names;
}

class Rewriter {
  readonly mutants: Mutant[] = [];
  private readonly file: ts.SourceFile;
  private readonly name: string;
  private readonly isRefused: (line: number, what: string) => boolean;
  private readonly numbers: Set<string>;
  private readonly first: number;
  private readonly form: Form;
  private where = "";
  /** How many alike there are so far, by function, mistake and source. */
  private readonly alike = new Map<string, number>();

  constructor(
    name: string,
    text: string,
    first: number,
    form: Form,
    isRefused: (line: number, what: string) => boolean,
  ) {
    this.file = ts.createSourceFile(name, text, ts.ScriptTarget.Latest, true);
    this.name = name;
    this.isRefused = isRefused;
    this.numbers = namedNumbers(this.file);
    this.first = first;
    this.form = form;
  }

  /** Gives the mistakes of a place their numbers. */
  private add(node: ts.Node, mistakes: readonly Mistake[]): Numbered[] {
    const line = this.file.getLineAndCharacterOfPosition(node.getStart()).line + 1;
    const source = node.getText().replace(/\s+/g, " ");
    return mistakes
      .filter(({ what }) => !this.isRefused(line, what))
      .map((mistake) => {
        const id = this.first + this.mutants.length;
        const { what } = mistake;
        this.mutants.push({
          id,
          file: this.name,
          line,
          where: this.where,
          what,
          source,
          nth: this.nth(what, source),
        });
        return { ...mistake, id };
      });
  }

  private nth(what: string, source: string): number {
    const name = `${this.where} ${what} ${source}`;
    const nth = (this.alike.get(name) ?? 0) + 1;
    this.alike.set(name, nth);
    return nth;
  }

  /** The node's text with its parts rewritten. */
  private parts(node: ts.Node): string {
    let text = "";
    let at = node.getStart();
    for (const child of this.childrenOf(node)) {
      text += this.file.text.slice(at, child.getStart()) + this.rewrite(child);
      at = child.getEnd();
    }
    return text + this.file.text.slice(at, node.getEnd());
  }

  private childrenOf(node: ts.Node): ts.Node[] {
    if (ts.isCallExpression(node)) {
      const from = CONSTANT_FROM[node.expression.getText()];
      return node.arguments.filter((_, i) => from === undefined || i < from);
    }
    if (ts.isPropertyAccessExpression(node)) return [node.expression];
    if (ts.isForStatement(node)) return [node.condition, node.statement].filter((part) => part !== undefined);
    if (ts.isBinaryExpression(node) && isAssignment(node)) return [node.right];
    const children: ts.Node[] = [];
    ts.forEachChild(node, (child) => void (ts.isTypeNode(child) || children.push(child)));
    return children;
  }

  private rewrite(node: ts.Node): string {
    if (canBeForgotten(node)) return this.statement(node);
    return isExpression(node) ? this.expression(node) : this.parts(node);
  }

  private statement(node: ts.ExpressionStatement): string {
    const forgotten = { what: FORGOTTEN, text: "" };
    const mistakes = this.add(node, [forgotten, ...mistakesIn(node.expression, this.numbers)]);
    return this.form.statement(node, mistakes, this.parts(node.expression));
  }

  private expression(node: ts.Expression): string {
    const mistakes = this.add(node, mistakesIn(node, this.numbers));
    const inner = this.parts(node);
    return mistakes.length === 0 ? inner : this.form.expression(node, mistakes, inner);
  }

  /** Only bodies of functions run; what stands at the top are constants and types. */
  run(): Schemata {
    let text = "";
    let at = 0;
    for (const statement of this.file.statements.filter(ts.isFunctionDeclaration)) {
      const { body } = statement;
      if (!body) continue;
      this.where = statement.name?.text ?? "";
      text += `${this.file.text.slice(at, body.getStart())}${this.parts(body)}`;
      at = body.getEnd();
    }
    text += this.file.text.slice(at);
    const switches = [...new Set(text.match(/\b(mutant(?= ===)|see\d+(?=\())/g))].join(", ");
    return { text: `${text}\nimport { ${switches} } from "./mutant";\n`, mutants: this.mutants };
  }
}

function isAssignment(node: ts.BinaryExpression): boolean {
  const { kind } = node.operatorToken;
  return kind >= ts.SyntaxKind.FirstAssignment && kind <= ts.SyntaxKind.LastAssignment;
}

/** Expressions that have a value of their own: not names of members, callees and the like, which `childrenOf` leaves out. */
function isExpression(node: ts.Node): node is ts.Expression {
  if (ts.isIdentifier(node)) {
    const { parent } = node;
    return !(ts.isVariableDeclaration(parent) && parent.name === node) && !ts.isParameter(parent);
  }
  return ts.isExpression(node);
}

/** Puts every mistake into a source file, numbered from `first`. Those that do not compile, by `isRefused`, are no mutants. */
export function schemataOf(
  name: string,
  text: string,
  first: number,
  form: Form,
  isRefused: (line: number, what: string) => boolean = () => false,
): Schemata {
  return new Rewriter(name, text, first, form, isRefused).run();
}

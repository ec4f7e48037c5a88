// Values of the macros of a C header, worked out here: numbers, other macros, arithmetic, and macros of one argument.

const DEFINE = /^#define (\w+)(?:\((\w+)\))? (.+)$/gm;

/** From a header's text: a function that gives the value of an expression, as an unsigned number of 32 bits. */
export function cValues(header: string): (expression: string) => number {
  const plain = header.replace(/\\\n/g, " ");
  const macros = new Map(
    [...plain.matchAll(DEFINE)].map(([, name, argument, body]) => [name!, { argument, body: body! }]),
  );
  const expand = (text: string): string =>
    text.replace(/\b([A-Z]\w*)(?:\(((?:[^()]|\([^()]*\))*)\))?/g, (whole, name: string, given?: string) => {
      const macro = macros.get(name);
      if (!macro) throw new Error(`no macro ${name} in ${whole}`);
      if (macro.argument === undefined)
        return `(${expand(macro.body)})${given === undefined ? "" : `(${given})`}`;
      return `(${expand(macro.body.replaceAll(new RegExp(`\\b${macro.argument}\\b`, "g"), `(${given})`))})`;
    });
  return (expression) => {
    const text = expand(expression)
      .replace(/\b(0x[0-9a-f]+|\d+)u\b/gi, "$1")
      .replaceAll("/", "/");
    if (!/^[\s\d()a-fx+\-*/%&|<>~^]+$/i.test(text)) throw new Error(`not arithmetic: ${text}`);
    const integers = text.replace(/0x[0-9a-f]+|\d+/gi, (number) => `${BigInt(number)}n`);
    return Number(BigInt.asUintN(32, new Function(`return ${integers}`)() as bigint));
  };
}

/** A constant of an assembly source, given by `.equ NAME, VALUE`. */
export function boot2Register(source: string, name: string): number {
  const found = new RegExp(`\\.equ ${name}, (0x[0-9a-f]+|\\d+)$`, "m").exec(source);
  if (!found) throw new Error(`no constant ${name}`);
  return Number(found[1]);
}

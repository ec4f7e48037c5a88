// The end of a choice between the members of a table: the compiler refuses it while a member is left, and at run time it throws.

/** Never returns. Throws an Error that names the member. */
export function unhandled(member: never): never {
  throw new Error(`"${String(member)}" is not handled here`);
}

// A word of a command that a reader copies into a shell: in quotes where the shell would take it apart.

/** The text as one word of a POSIX shell. */
export const shellWord = (text: string): string =>
  /^[\w./-]+$/u.test(text) ? text : `'${text.replaceAll("'", "'\\''")}'`;

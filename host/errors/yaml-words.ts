// What is wrong with the form of a YAML text, in words of our own by the library's error codes.
import type { YAMLError } from "yaml";

const WORDS: Readonly<Partial<Record<YAMLError["code"], string>>> = {
  ALIAS_PROPS: "a reference to another value (*) takes no mark of its own",
  BAD_ALIAS: "this refers to a value that has no such name",
  BAD_DIRECTIVE: "a line that begins with % does not belong here",
  BAD_DQ_ESCAPE: "after a backslash within quotes stands something that means nothing",
  BAD_INDENT: "this line is not indented as those that belong with it",
  BAD_PROP_ORDER: "names and marks of a value stand in the wrong order",
  BAD_SCALAR_START: "a value cannot begin with this sign; put it in quotes",
  BLOCK_AS_IMPLICIT_KEY:
    "a key and its value stand where only one value can; is a line break or a quote missing?",
  BLOCK_IN_FLOW: "within brackets or braces only lists with brackets and groups with braces can stand",
  DUPLICATE_KEY: "this key stands twice in its group; which of the two is meant?",
  KEY_OVER_1024_CHARS: "this key is far too long; is a colon or a quote missing?",
  MISSING_CHAR: "a sign is missing: a closing quote, bracket or brace, or a comma or colon",
  MULTILINE_IMPLICIT_KEY: "a key must stand on one line; is a quote or a bracket left open?",
  MULTIPLE_ANCHORS: "a value can have one name only",
  MULTIPLE_DOCS: "a second document begins here; this file has one",
  MULTIPLE_TAGS: "a value can have one tag only",
  NON_STRING_KEY: "a key must be a word",
  RESOURCE_EXHAUSTION: "values that refer to each other grow too large",
  TAB_AS_INDENT: "a tab indents this line; use spaces",
  TAG_RESOLVE_FAILED: "a tag, which begins with !, does not belong here; remove it",
  UNEXPECTED_TOKEN: "this does not belong here",
  BAD_COLLECTION_TYPE: "a group or list of this kind does not belong here",
};

/** The words for an error. */
export const yamlWords = ({ code }: Pick<YAMLError, "code">): string =>
  WORDS[code] ?? "this is not well-formed";

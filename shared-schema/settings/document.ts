// The zod schema of a settings document, built from the table's limits, and the whole check: form, limits, rules.
import * as z from "zod";
import { type Finding, validate } from "../rules/validate.ts";
import { type Document, pack } from "./pack.ts";
import { SETTINGS } from "./settings.ts";
import type { SettingNode } from "./table.ts";
import { AXIS_MAX, FULL_SHARE_PERMILLE } from "./words.ts";

const point = z.tuple([z.int().min(0).max(AXIS_MAX), z.int().min(0).max(FULL_SHARE_PERMILLE)]);

function nodeSchema(node: SettingNode): z.ZodType {
  switch (node.kind) {
    case "number":
      return z.int().min(node.min).max(node.max);
    case "choice":
      return z.enum(node.options as [string, ...string[]]);
    case "group":
      return node.optional ? fieldsSchema(node.fields).optional() : fieldsSchema(node.fields);
    case "list":
      return z.array(fieldsSchema(node.fields)).min(node.min).max(node.max);
    case "points":
      return z.array(point).min(node.min).max(node.max);
  }
}

function fieldsSchema(fields: readonly SettingNode[]): z.ZodObject {
  return z.strictObject(Object.fromEntries(fields.map((field) => [field.name, nodeSchema(field)])));
}

/** Form and limits of a document, without the rules that join fields. */
export const documentSchema = fieldsSchema(SETTINGS.fields);

/** Does the issue mean that the document cannot be laid out as words at all? */
function breaksForm(issue: z.core.$ZodIssue): boolean {
  const onPair = typeof issue.path.at(-1) === "number";
  if (issue.code === "too_small") return issue.origin === "array" && onPair;
  if (issue.code === "too_big") return issue.origin === "array";
  return true;
}

function fromIssue(issue: z.core.$ZodIssue): Finding {
  const rule = issue.code === "too_small" || issue.code === "too_big" ? "limit" : "form";
  return { path: issue.path.map(String).join("."), rule, text: issue.message };
}

/**
 * All that is wrong with a document: form and limits by zod, and where it can be laid out as words, limits and rules of
 * the table too. An empty list means that the control core takes it; else the first limit or rule is the one it names.
 */
export function checkDocument(document: unknown): Finding[] {
  const parsed = documentSchema.safeParse(document);
  const issues = parsed.success ? [] : parsed.error.issues;
  if (issues.some(breaksForm)) return issues.map(fromIssue);
  const findings = validate(pack(document as Document));
  return findings.length > 0 ? findings : issues.map(fromIssue);
}

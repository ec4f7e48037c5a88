// A run as comma-separated values (RFC 4180, but with bare line feeds): one header line with units, then one line for each record.
import { LOG_FIELDS, type LogRecord } from "./record.ts";

const quoted = (text: string): string => (/[",\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text);

/** `engineSpeed` with unit `rpm` is `engine speed [rpm]`. */
function title({ name, unit }: (typeof LOG_FIELDS)[number]): string {
  const words = name.replace(/[A-Z]/g, (letter) => ` ${letter.toLowerCase()}`).replace(/\d/, " $&");
  return quoted(unit === "" ? words : `${words} [${unit}]`);
}

/** The whole file. */
export function csvOf(records: readonly LogRecord[]): string {
  const head = LOG_FIELDS.map(title).join(",");
  const lines = records.map((record) => LOG_FIELDS.map(({ name }) => quoted(String(record[name]))).join(","));
  return `${[head, ...lines].join("\n")}\n`;
}

// The certificate of a tour names the image and the settings' cautions as any other does.
import { createHash } from "node:crypto";
import { readFileSync } from "node:fs";
import { expect, test } from "vitest";
import { Session } from "#host/cli/session.ts";
import { proofOf } from "#host/cli/tour/run-tour.ts";
import { planStep } from "#host/cli/tour/steps.ts";
import { escapeHtml } from "#host/report/html.ts";
import { checkSettings } from "#host/settings/check.ts";
import { formatSettings } from "#host/settings/write.ts";
import { RELEASED } from "../../../support/native-core.ts";

test("its page has the released image's hash and every caution of the planned settings", async () => {
  const screen = { write: () => true };
  const io = {
    stdout: screen,
    stderr: screen,
    env: {},
    cwd: ".",
    now: () => new Date("2026-05-01T10:00:00Z"),
  };
  const session = new Session(io as never);
  const planned = await planStep(session);
  const { page, verdict } = proofOf(session, planned, []);
  expect(verdict.word).toBe("NOTHING PROVED");
  expect(page).toContain(
    createHash("sha256")
      .update(readFileSync(`${RELEASED}headgate.uf2`))
      .digest("hex"),
  );
  const { cautions } = checkSettings(formatSettings(planned.settings));
  expect(cautions.length).toBeGreaterThan(0);
  for (const { text } of cautions) expect(page).toContain(escapeHtml(text));
});

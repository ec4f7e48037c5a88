// Runs once, before all tests and before each rerun: the tests of the control core shall test what was edited.
import type { TestProject } from "vitest/node";
import { compileEditedCore } from "./core-module.ts";

async function prepare(): Promise<void> {
  if (await compileEditedCore())
    process.stdout.write(
      "control core: firmware/core was edited; tests of the core run what was compiled from it\n",
    );
}

export default async function setup(project: TestProject): Promise<void> {
  project.onTestsRerun(prepare);
  await prepare();
}

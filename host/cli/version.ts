// The version of the tool; a test compares it with package.json.

/** Version of the tool, as in package.json. */
export const TOOL_VERSION = "0.1.0";

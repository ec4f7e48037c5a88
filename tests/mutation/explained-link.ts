// Survivors in the link, the storage and the start that were looked at: why no test can, or need, tell them from the core as it is.
import { type Explained, FRESH, GUARD } from "./explained-why.ts";

const UNREACHED = "stops the program only where no request and no state leads";
const AT_NOTHING = "the field is the first of its payload: its offset is 0";

/** All of them, by file and function. */
export const IN_LINK_AND_STORAGE: readonly Explained[] = [
  {
    file: "frame.ts",
    where: "takeByte",
    source: "receiver.spoilt",
    what: ["never"],
    why: "a frame that is spoilt is full: whatever still comes only spoils it again",
  },
  { file: "index.ts", where: "boot", source: "startLink()", why: FRESH },
  {
    file: "judge.ts",
    where: "conditionsHold",
    source: "at += 4",
    why: "no rule has a second condition",
  },
  { file: "link-log.ts", where: "logInfo", source: "ANSWER + N.LOG_INFO_ANSWER_SEQUENCE", why: AT_NOTHING },
  { file: "link-log.ts", where: "logHeads", source: "ANSWER + N.LOG_HEADS_ANSWER_PAGE", why: AT_NOTHING },
  { file: "link-log.ts", where: "logRead", source: "BODY + N.LOG_READ_REQUEST_OFFSET", why: AT_NOTHING },
  { file: "link-log.ts", where: "logRead", source: "ANSWER + N.LOG_READ_ANSWER_OFFSET", why: AT_NOTHING },
  { file: "link.ts", where: "beginWrite", source: "BODY + N.WRITE_BEGIN_REQUEST_ID", why: AT_NOTHING },
  { file: "link.ts", where: "writeData", source: "BODY + N.WRITE_DATA_REQUEST_ID", why: AT_NOTHING },
  { file: "link.ts", where: "baud", source: "BODY + N.BAUD_REQUEST_BAUD", why: AT_NOTHING },
  {
    file: "link.ts",
    where: "formFault",
    source: "row < end",
    what: ["< taken for <="],
    why: "behind the table lies one that begins with 1, a kind that is found in the table before",
  },
  {
    file: "link.ts",
    where: "whileOff",
    source: "kind !== N.MESSAGE_RESTART",
    what: ["never"],
    why: UNREACHED,
  },
  { file: "link.ts", where: "startLink", source: "memory.fill", why: FRESH },
  {
    file: "link.ts",
    where: "startLink",
    source: "FIRST_PASSES",
    why: "slow work begins two milliseconds later after a start",
  },
  {
    file: "log.ts",
    where: "begin",
    source: "log.runs += 1",
    what: ["+= taken for -="],
    why: "the number of the run in memory has only to be another than that of the run before",
  },
  {
    file: "report.ts",
    where: "putOutputs",
    source: "state.settingsValid",
    what: ["always"],
    why: "without settings nothing opens in any period, whatever its length",
  },
  {
    file: "runs.ts",
    where: "findRing",
    source: "page < count",
    what: ["< taken for <="],
    why: "a page behind the ring has no sequence number that belongs there",
  },
  {
    file: "runs.ts",
    where: "storePage",
    source: "log.phase = 3",
    why: "with no page left the next piece of work says the same",
  },
  {
    file: "runs.ts",
    where: "eraseAll",
    source: "log.phase === 2",
    what: ["always"],
    why: "of a run that is over for less than half a second an erase may leave nothing, or what is recorded then",
  },
  { file: "state.ts", where: "clearState", source: "offsetof", why: GUARD },
  { file: "state.ts", where: "clearState", source: "STAGE_STATES < ", why: GUARD },
  { file: "state.ts", where: "clearState", source: "STATE + 512", why: GUARD },
  { file: "state.ts", where: "clearState", source: "__heap_base", why: GUARD },
  { file: "state.ts", where: "clearState", source: "unreachable()", why: GUARD },
  { file: "state.ts", where: "clearState", source: "memory.fill", what: ["statement forgotten"], why: FRESH },
  {
    file: "state.ts",
    where: "clearState",
    source: "state.windowsLeft = 0xff",
    why: "without settings all values are 0, which lies in every window; with settings the windows begin anew",
  },
  {
    file: "store.ts",
    where: "whole",
    source: "SETTINGS_ROOM",
    why: "only a header that somebody has made says so much, and what lies behind the slot in memory would have to fit its check sum",
  },
  {
    file: "store.ts",
    where: "take",
    source: "RETIRED",
    why: "only the bits of the four slots are looked at, and the number of the board, whose bit comes along, is carried on with them",
  },
  {
    file: "store.ts",
    where: "spare",
    source: "i < B.FLASH_SLOTS",
    what: ["< taken for <="],
    why: "once more around the ring: the slot that comes first has been looked at",
  },
];

// Errors of ports, line and controller. A remedy stands here only where the code is given after its cause was checked.
import type { ErrorEntry } from "./entry.ts";
import { EXIT } from "./exit.ts";

export const LINK_ERRORS = {
  "no-port": {
    exit: EXIT.noDevice,
    what: "no serial port was found that could lead to a controller",
    todo: "plug in the USB serial adapter, or name the line with --port; to practise without a controller, run `headgate board` in another window and give --port practice (docs/practice.md)",
    long: "The list of serial ports of this computer holds no USB serial adapter. `headgate ports` shows what was seen. A port that is not on USB is never chosen automatically; name it with --port.",
  },
  "many-ports": {
    exit: EXIT.usage,
    what: "more than one serial port could lead to a controller",
    todo: "name one with --port",
    long: "With several USB serial adapters plugged in the tool lists them and asks, and never guesses: a load to the wrong controller can hurt an engine.",
  },
  "port-gone": {
    exit: EXIT.noDevice,
    what: "there is no such port",
    todo: "check the name, and that the adapter is plugged in; `headgate ports` lists what is there",
    long: "Opening the port failed because nothing has that name (ENOENT, ENXIO, ENODEV or a refused connection), or because what has it is not a serial port (ENOTTY, EISDIR).",
  },
  "port-permission": {
    exit: EXIT.permission,
    what: "this user may not open the port",
    todo: "join the group that owns the port, log out and in again, or add the udev rule of `headgate doctor`",
    long: "Opening the port failed with EACCES or EPERM. On most Linux systems serial ports belong to the group `dialout` or `uucp`.",
  },
  "port-busy": {
    exit: EXIT.tryAgain,
    what: "another program is using the port",
    todo: "close that program, then try again",
    long: "Opening the port failed with EBUSY or because it is locked. Two programs on one serial line would read each other's answers.",
  },
  "port-failed": {
    exit: EXIT.linkLost,
    what: "the port could not be opened",
    todo: "unplug the adapter, plug it in again, then try again",
    long: "Opening the port failed for a reason that is none of the usual four (missing, not permitted, busy, not a serial port); the words of the operating system are shown.",
  },
  "no-board-number": {
    exit: EXIT.no,
    what: "this controller has no number yet, so a name could not be checked",
    todo: "load settings first: the first load gives it a number",
    long: "A remembered name belongs to one board, which is known by its number. A board gets its number at its first load and keeps it.",
  },
  "no-serial-binding": {
    exit: EXIT.noDevice,
    what: "the serial library has no binding for this system",
    todo: "use a computer that docs/systems.md lists, or reach the port over tcp:HOST:PORT",
    long: "The native part of the serial library comes with the package, built for the usual systems and processors. On this one none of them could be loaded. Everything that needs no serial port works all the same.",
  },
  "port-speed": {
    exit: EXIT.linkLost,
    what: "the port does not take this speed",
    todo: "use --baud 115200",
    long: "The adapter or its driver refused the serial speed. Every adapter takes 115200.",
  },
  silent: {
    exit: EXIT.noDevice,
    what: "nothing answered on the line",
    todo: "check power, that TX goes to RX both ways, and the common ground",
    long: "The port opened, but not one answer came within the time allowed, after several tries. The controller answers with power on alone; the arm switch does not matter. One that a flash has left in its boot mode does not answer: take its power away and give it back.",
  },
  "not-headgate": {
    exit: EXIT.mismatch,
    what: "something answers on the line, but not in the frames of a controller",
    todo: "check that the right port was chosen, and that nothing else uses this line",
    long: "Bytes arrived, but none of them made a whole frame with the right check sum. Another device, another speed, or a very noisy line looks like this.",
  },
  "line-echo": {
    exit: EXIT.noDevice,
    what: "every request comes back unchanged, and no controller answers",
    todo: "TX and RX of the adapter are connected with each other: connect TX to the controller's RX and RX to its TX",
    long: "Whole requests of this tool arrived on its own receiving wire. A controller never sends such frames. Either the two wires touch, or the plug is a loop for tests.",
  },
  "wrong-answer": {
    exit: EXIT.mismatch,
    what: "the controller's answer has another form than this version of the tool knows",
    todo: "flash the image that belongs to this version of the tool, or use the tool that belongs to the image",
    long: "The answer arrived undamaged, with the right check sum, but with another length than the table of messages says, or with numbers that cannot be: a log of no pages, say. Asking again would not change it.",
  },
  "link-lost": {
    exit: EXIT.linkLost,
    what: "the line to the controller was lost",
    todo: "plug the cable in again and repeat the command; nothing on the controller is half written",
    long: "The port vanished, or answers stopped coming in the middle of the work. Settings take effect on the controller only at the very end, so a cut before that leaves the old ones active.",
  },
  "link-timeout": {
    exit: EXIT.tryAgain,
    what: "the controller did not answer in time",
    todo: "try again; if it goes on, `headgate doctor` measures the line",
    long: "An answer was due and did not come after several repeats, though the controller had answered before.",
  },
  "protocol-mismatch": {
    exit: EXIT.mismatch,
    what: "the controller speaks another version of the link",
    todo: "flash the image that belongs to this version of the tool, or use the tool that belongs to the image",
    long: "Host and image carry a version of their messages. Different versions do not talk to each other, because a field could mean something else.",
  },
  "schema-mismatch": {
    exit: EXIT.mismatch,
    what: "the controller was built from another table of settings",
    todo: "install the image that belongs to this version of the tool with `headgate flash`: it keeps a copy of the settings, migrates it and loads it again",
    long: "Host and image carry a fingerprint of the table of settings. With different tables the same bytes mean different settings, so nothing is read or written.",
  },
  refused: {
    exit: EXIT.mismatch,
    what: "the controller refused the request",
    todo: "flash the image that belongs to this version of the tool, or use the tool that belongs to the image",
    long: "The frame arrived whole, but the controller does not know the request or finds a value in it that it does not take. That is a mistake in the tool or a version that does not fit.",
  },
  "not-off": {
    exit: EXIT.no,
    what: "the controller is not off",
    todo: "switch the arm switch off, then try again",
    long: "Settings are written, logs erased and the chip restarted only while the controller is off: during any of these it cannot watch the engine.",
  },
  "arm-switch-on": {
    exit: EXIT.no,
    what: "the arm switch is on",
    todo: "switch the arm switch off, then try again",
    long: "A controller that has no settings is off although its arm switch is on. It would arm the moment settings are stored, with nobody expecting it, so nothing is loaded until the switch is off.",
  },
  "device-refused-settings": {
    exit: EXIT.badSettings,
    what: "the controller did not accept the settings",
    todo: "make sure that image and tool are of the same version; if they are, report this",
    long: "The settings passed every check on this computer and failed one on the controller. Both sides are generated from the same rules, so this points to a mistake in the project.",
  },
  "flash-failed": {
    exit: EXIT.no,
    what: "the controller could not store the settings",
    todo: "try once more; if it fails again the flash chip is worn or damaged: replace the board",
    long: "The settings were written to the idle slot and did not read back as written. The slot in use was not touched.",
  },
  "no-settings": {
    exit: EXIT.no,
    what: "the controller holds no valid settings",
    todo: "load a settings file",
    long: "None of its slots holds a whole settings block made for this image. It cannot arm until one is loaded.",
  },
  "read-back-differs": {
    exit: EXIT.mismatch,
    what: "the controller gives back settings that are neither the old nor the new ones",
    todo: "do not arm; load the file again, and replace the board if it happens again",
    long: "After the write the whole block is read back and compared byte by byte, and its check sum with the one that the controller reports. It was neither what was sent nor what was there before.",
  },
  "not-stored": {
    exit: EXIT.no,
    what: "the controller reported that it stored the settings, but it does not hold them",
    todo: "load the file again; if it happens again the flash chip is worn or damaged: replace the board",
    long: "After the write the whole block is read back. The controller gave back the settings that it had before, or none.",
  },
  "board-changed": {
    exit: EXIT.mismatch,
    what: "another board answers now than the one with which the command began",
    todo: "connect the board that is meant, and only that one, then run headgate status and repeat the command",
    long: "Every board keeps the number that it got at its first load. The number is compared again at the end, so that what is said of one board is never said of another.",
  },
} as const satisfies Record<string, ErrorEntry>;

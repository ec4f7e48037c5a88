// Boot volumes are known by their INFO_UF2.TXT; form and example after the UF2 specification (github.com/microsoft/uf2).
import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import {
  candidates,
  copyImage,
  findVolumes,
  mountPoints,
  onlyVolume,
  parseInfo,
} from "#host/image/volume.ts";
import { tempFolder } from "../../support/temp-folder.ts";

const RP2 = "UF2 Bootloader v3.0\nModel: Raspberry Pi RP2\nBoard-ID: RPI-RP2\n";
/** The example of the specification. */
const OTHER = "UF2 Bootloader v1.1.3 SFA\r\nModel: Arduino Zero\r\nBoard-ID: SAMD21G18A-Zero-v0\r\n";

function folderWith(info: string | undefined, name: string): string {
  const folder = join(tempFolder(), name);
  mkdirSync(folder);
  if (info !== undefined) writeFileSync(join(folder, "INFO_UF2.TXT"), info);
  return folder;
}

describe("the text of a boot volume", () => {
  test("gives model and board", () => {
    expect(parseInfo(RP2)).toEqual({ model: "Raspberry Pi RP2", boardId: "RPI-RP2" });
    expect(parseInfo(OTHER)).toEqual({ model: "Arduino Zero", boardId: "SAMD21G18A-Zero-v0" });
  });

  test.each(["", "Board-ID: RPI-RP2\n", "UF2 Bootloader v3.0\nModel: x\n"])("%j is none", (text) => {
    expect(parseInfo(text)).toBeUndefined();
  });
});

describe("volumes", () => {
  test("are found by what they say, whatever they are called", () => {
    const found = folderWith(RP2, "odd name");
    const folders = [folderWith(OTHER, "RPI-RP2"), folderWith(undefined, "RPI-RP2"), found, found];
    expect(findVolumes(folders).map(({ folder }) => folder)).toEqual([found]);
  });

  test("several are never chosen among", () => {
    const [one, other] = findVolumes([folderWith(RP2, "a"), folderWith(RP2, "b")]);
    expect(onlyVolume([])).toBeUndefined();
    expect(onlyVolume([one!])).toBe(one);
    expect(() => onlyVolume([one!, other!])).toThrow(expect.objectContaining({ code: "many-volumes" }));
  });

  const mounts = {
    table: () => "/dev/sda1 / ext4 rw 0 0\n/dev/sdb1 /run/media/me/RPI-RP2 vfat rw 0 0\n",
    names: (folder: string) => (folder === "/Volumes" ? ["Main disk", "RPI-RP2"] : []),
  };

  test.each([
    ["linux", ["/", "/run/media/me/RPI-RP2"]],
    ["darwin", ["/Volumes/Main disk", "/Volumes/RPI-RP2"]],
  ] as const)("on %s may be mounted where the system says", (platform, folders) => {
    expect(candidates(platform, mounts)).toEqual(folders);
  });

  test("on win32 have a letter of their own", () => {
    expect(candidates("win32", mounts)).toEqual(expect.arrayContaining(["D:\\", "Z:\\"]));
    expect(candidates("win32", mounts)).not.toContain("C:\\");
  });

  test("on a system that does not tell are none, and that is no failure", () => {
    const silent = (): never => {
      throw new Error("ENOENT");
    };
    for (const platform of ["linux", "darwin"] as const)
      expect(candidates(platform, { table: silent, names: silent })).toEqual([]);
  });

  test("are found through the mount table, on every kind of system", () => {
    const folder = folderWith(RP2, "a disk");
    const table = (): string => `/dev/sdb1 ${folder.replaceAll(" ", "\\040")} vfat rw 0 0\n`;
    expect(findVolumes(candidates("linux", { ...mounts, table })).map((found) => found.folder)).toEqual([
      folder,
    ]);
  });

  test("mount points with spaces are read as proc(5) has them", () => {
    const mounts = "/dev/sda1 / ext4 rw 0 0\n/dev/sdb1 /media/me/A\\040B vfat rw 0 0\n";
    expect(mountPoints(mounts)).toEqual(["/", "/media/me/A B"]);
  });
});

describe("the copy", () => {
  test("is the image, byte for byte", () => {
    const folder = folderWith(RP2, "disk");
    const bytes = Uint8Array.from({ length: 70_000 }, (_, i) => i);
    expect(copyImage({ folder, model: "", boardId: "" }, bytes)).toBeUndefined();
    expect(new Uint8Array(readFileSync(join(folder, "headgate.uf2")))).toEqual(bytes);
  });

  test("says in words why it failed when the volume is gone", () => {
    const gone = { folder: join(folderWith(RP2, "disk"), "gone"), model: "", boardId: "" };
    expect(copyImage(gone, Uint8Array.of(1))).toBe("there is no such file or folder");
  });
});

import { describe, expect, it } from "vitest";
import type { Message } from "../../lib/model/messages.ts";
import type { Cursor } from "../../lib/source/cursor.ts";
import { mergeCursors } from "../../lib/source/merge.ts";
import { openRunFolder } from "../../lib/source/openRunFolder.ts";
import { arrow, collect, jobJson, ndjson, profileRow, profileRows, runFolder } from "./runFolder.ts";
import sharp from "sharp";

const POSES = "t_s,device,tx,ty,tz,qx,qy,qz,qw,from,to,valid\n";
const pose = (tS: number, device: string, tx = 0): string => `${tS},${device},${tx},0,0,0,0,0,1,tool,base,1\n`;
const label = (m: Message): string => `${m.tS} ${m.kind}${"device" in m ? ` ${m.device}` : "name" in m ? ` ${m.name}` : ""}`;

describe("merging the streams of a folder", () => {
  it("orders equal times by kind, then by device: progress, rework, marks of paste, poses, signals, profiles, frames", async () => {
    const png = await sharp({ create: { width: 2, height: 3, channels: 3, background: "#123456" } }).png().toBuffer();
    const row = (seq: number) => ({ ...profileRow(seq), tS: 2 });
    const folder = await runFolder({
      "profiles.profiler-1.ndjson": ndjson([row(4), row(5)]),
      "profiles.profiler-2.arrow": arrow([row(1)], { metadata: { device: "profiler-2", frame: "plan" } }),
      "progress.csv": "t_s,layer,strand,s_mm,event\n2,1,1,0,start\n2,1,1,0.5,update\n",
      "rework.csv": "t_s,layer,strand,from_mm,to_mm,who,reason\n2,1,1,1,2,\"N., A.\",\"he said \"\"off\"\"\"\n",
      "paste.csv": "t_s,device,file,u0_px,v0_px,u1_px,v1_px,who\n2,camera-1,frames/a.png,1,2,4.5,5,N.\n",
      "poses.csv": POSES + pose(2, "tracker-1") + pose(2, "arm-1"),
      "signals.csv": "t_s,name,value\n2,temperatureC,21.5\n2,pressureKPa,80\n",
      "frames.csv": "file,device,t_s,tx,ty,tz,qx,qy,qz,qw,frame\nframes/a.png,camera-1,2,0,0,90,0,1,0,0,plan\n",
      "frames/a.png": png,
    });
    const run = await openRunFolder(folder);
    const messages = await collect(run.messages());
    expect(messages.map(label)).toEqual([
      "2 progress", "2 progress", "2 rework", "2 pasteMark camera-1", "2 pose arm-1", "2 pose tracker-1", "2 signal pressureKPa", "2 signal temperatureC",
      "2 profile profiler-1", "2 profile profiler-1", "2 profile profiler-2", "2 frame camera-1",
    ]);
    expect(messages.flatMap((m): (string | number)[] => (m.kind === "profile" ? [m.seq] : m.kind === "rework" ? [m.who, m.reason] : []))).toEqual(["N., A.", 'he said "off"', 4, 5, 1]);
    expect(run.files.map((f) => f.path)).toContain("frames/a.png");
  });

  it("is by time over streams, also where a file holds one sender after the other", async () => {
    const folder = await runFolder({
      "profiles.ndjson": ndjson(profileRows(3)),
      "poses.csv": POSES + [0.9, 1.1, 1.6].map((t) => pose(t, "tracker-1")).join("") + [1, 1.3].map((t) => pose(t, "arm-1")).join(""),
      "signals.csv": "t_s,name,value\n1.2,b,1\n1.4,b,2\n0.5,a,3\n1.3,a,4\n",
    });
    const messages = await collect((await openRunFolder(folder)).messages());
    expect(messages.map(label)).toEqual([
      "0.5 signal a", "0.9 pose tracker-1", "1 pose arm-1", "1 profile profiler-1", "1.1 pose tracker-1", "1.2 signal b", "1.25 profile profiler-1",
      "1.3 pose arm-1", "1.3 signal a", "1.4 signal b", "1.5 profile profiler-1", "1.6 pose tracker-1",
    ]);
  });

  it("takes a device's stated clock offset of 0.25 s off its stamps", async () => {
    const folder = await runFolder({
      "job.json": jobJson((job) => { job["devices"][0].clockOffsetS = 0.25; job["devices"][2].clockOffsetS = -0.5; }),
      "profiles.ndjson": ndjson(profileRows(2)), "poses.csv": POSES + pose(0.25, "tracker-1") + pose(0.5, "tracker-1"),
    });
    expect((await collect((await openRunFolder(folder)).messages())).map(label)).toEqual(["0.75 pose tracker-1", "0.75 profile profiler-1", "1 pose tracker-1", "1 profile profiler-1"]);
  });

  it("keeps heights valid until the next batch is asked for, over 600 profiles of two devices", async () => {
    const rows = (from: number) => Array.from({ length: 300 }, (_, i) => ({ ...profileRow(from + 2 * i, 0.01) }));
    const folder = await runFolder({
      "profiles.profiler-1.ndjson": ndjson(rows(0)),
      "profiles.profiler-2.arrow": arrow(rows(1), { sizes: [7, 50], metadata: { device: "profiler-2", frame: "plan" } }),
    });
    let count = 0;
    for await (const batch of (await openRunFolder(folder)).messages()) {
      expect(batch.length).toBeLessThanOrEqual(256);
      for (const message of batch) {
        if (message.kind !== "profile") continue;
        expect(message.seq).toBe(count++);
        expect([...message.zMm]).toEqual(profileRow(message.seq).zMm.map((z) => z ?? Number.NaN));
      }
    }
    expect(count).toBe(600);
  });

  it("closes every stream when its reader stops early", async () => {
    const closed: string[] = [];
    const cursor = (name: string): Cursor => ({
      isReusing: true,
      refill: async () => [{ kind: "signal", tS: 1, name, value: 2 }],
      close: async () => void closed.push(name),
    });
    for await (const batch of mergeCursors([cursor("a"), cursor("b")])) {
      expect(batch).toHaveLength(1);
      break;
    }
    expect(closed).toEqual(["a", "b"]);
  });
});

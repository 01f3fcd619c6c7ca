/** A scan of a rehearsed specimen once it had set: invented. The same plan, beads that shrank, stretches that broke off, seen by passes over the finished layer. */
import type { Message, ProfileMessage } from "../../lib/model/messages.ts";
import { pitchOf, fillSettings, type RehearsalSettings } from "../../lib/rehearsal/settings.ts";
import { simulate } from "../../lib/rehearsal/simulate.ts";

export interface Setting { readonly scale: number; readonly lost?: readonly { readonly strand: number; readonly fromMm: number; readonly toMm: number }[]; readonly noiseSeed?: number; readonly shiftMm?: readonly [number, number, number] }

/** `scale`: of width and height alike. Only where nothing was faulty wet. */
export function* hardScan(given: Partial<RehearsalSettings>, { scale, lost = [], noiseSeed = 0, shiftMm = [0, 0, 0] }: Setting): Generator<ProfileMessage> {
  const wet = fillSettings(given);
  const hard = simulate({
    ...given, pitchMm: pitchOf(wet), widthMm: scale * wet.widthMm, heightMm: scale * wet.heightMm, scan: "later", supportScan: false, faults: lost.map((one) => ({ kind: "gap", layer: 1, size: null, ...one })),
    sigmaMm: wet.sigmaMm, dropoutFraction: wet.dropoutFraction + 1e-4 * noiseSeed, // other draws of noise
  });
  for (const profile of hard.profiles()) {
    const [x, y, z, ...turn] = profile.pose;
    yield { ...profile, pose: [x + shiftMm[0], y + shiftMm[1], z + shiftMm[2], ...turn] as unknown as ProfileMessage["pose"] };
  }
}

/** As the readers hand them on. */
export async function* inBatches(messages: Iterable<Message>): AsyncGenerator<readonly Message[]> {
  for (const message of messages) yield [message];
}

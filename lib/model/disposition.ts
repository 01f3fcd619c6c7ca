/** What a person decides about a finding, and notes pinned to a place. Each is an entry of the run's log. */
import { OTHER, type Reason } from "./reason.ts";

export const DISPOSITIONS = ["acceptedAsIs", "takenOffAndLaidAgain", "false"] as const;
export type Disposition = (typeof DISPOSITIONS)[number];


export const DISPOSITION_LABELS: Readonly<Record<Disposition, string>> = {
  acceptedAsIs: "accepted as it is", takenOffAndLaidAgain: "taken off and laid again", false: "false",
};

/** The reasons that belong to each disposition, in the order in which they are offered. */
export const DISPOSITION_REASONS: Readonly<Record<Disposition, readonly Reason[]>> = {
  acceptedAsIs: [
    { code: "noMatterForUse", label: "does not matter for the use" },
    { code: "madeUpByNeighbours", label: "neighbouring strands or the next layer make up for it" },
    { code: "handFinished", label: "put right by hand" },
    OTHER,
  ],
  takenOffAndLaidAgain: [
    { code: "laidAgainAtOnce", label: "laid again before the next layer" },
    { code: "laidAgainLater", label: "laid again in a later run" },
    OTHER,
  ],
  false: [
    { code: "sensorArtefact", label: "glare, shadow or a spike of the sensor" },
    { code: "sawSomethingElse", label: "the sensor saw something that is not paste" },
    { code: "planDiffers", label: "laid as intended, the plan says otherwise" },
    { code: "registrationOff", label: "registration or pose was off" },
    OTHER,
  ],
};

/** A disposition as it stands in the log. Of several for one finding the last counts. */
export interface FindingDisposition {
  readonly seq: number;
  readonly at: string;
  readonly actor: string;
  readonly resultId: string;
  readonly findingIndex: number;
  readonly disposition: Disposition;
  readonly reason: string;
  readonly note: string;
}

/** A note pinned to a place along a strand. */
export interface PinnedNote {
  readonly seq: number;
  readonly at: string;
  readonly actor: string;
  readonly layer: number;
  readonly strand: number;
  readonly sMm: number;
  readonly text: string;
}

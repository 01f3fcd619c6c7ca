/** People who act: their roles, and which deed asks for which of them. */

export const ROLES = ["operator", "engineer", "reviewer", "administrator"] as const;
/** A person may have several. */
export type Role = (typeof ROLES)[number];

/** What each role is for, for the page that gives them. */
export const ROLE_WORDS: Readonly<Record<Role, string>> = {
  operator: "runs a print: resumes, ends, answers alerts, decides about findings",
  engineer: "prepares runs and brings them in, and does what an operator does",
  reviewer: "decides about findings, writes notes and signs once a run is over",
  administrator: "makes and retires people, drops raw data",
};

/** Everything that a person can do and that asks who it is. A pause and an abort are none of it: they never ask. */
export const DEEDS = [
  "prepare", "import", "resume", "alert", "dispose", "disposeFinished", "rework", "pasteMark", "note", "noteFinished", "automaticPause", "end", "people", "ownPassphrase",
  "sign", "recompute", "scan", "dropRaw",
] as const;
export type Deed = (typeof DEEDS)[number];

/** Roles of which one is enough. `…Finished`: on a run that is over. */
export const DEED_ROLES: Readonly<Record<Deed, readonly Role[]>> = {
  prepare: ["engineer"], import: ["engineer"],
  resume: ["operator", "engineer"], alert: ["operator", "engineer"], dispose: ["operator", "engineer"], rework: ["operator", "engineer"], pasteMark: ["operator", "engineer"], note: ["operator", "engineer"],
  automaticPause: ["operator", "engineer"], end: ["operator", "engineer"],
  disposeFinished: ["operator", "engineer", "reviewer"], noteFinished: ["operator", "engineer", "reviewer"],
  people: ["administrator"], ownPassphrase: ROLES,
  sign: ["reviewer"], recompute: ["engineer", "reviewer"], scan: ["engineer", "reviewer"], dropRaw: ["administrator"],
};

/** Who is signed in, as pages know it. */
export interface SignedIn { readonly name: string; readonly roles: readonly Role[] }

export function mayDo(roles: readonly Role[], deed: Deed): boolean {
  return DEED_ROLES[deed].some((role) => roles.includes(role));
}

/** "operator", "operator or engineer", "operator, engineer or reviewer"; "no role" for none. */
export function rolesText(roles: readonly Role[], word: "or" | "and"): string {
  return roles.length < 2 ? roles[0] ?? "no role" : `${roles.slice(0, -1).join(", ")} ${word} ${roles.at(-1)}`;
}

/** "This asks for the role operator or engineer. Dana Reyes has reviewer." */
export function roleSentence({ name, roles }: SignedIn, deed: Deed): string {
  return `This asks for the role ${rolesText(DEED_ROLES[deed], "or")}. ${name} has ${rolesText(roles, "and")}.`;
}

/** Roles out of a list of words, each once and in the order of ROLES; null: one of them is none. */
export function rolesFrom(words: readonly string[]): Role[] | null {
  return words.every((word) => ROLES.some((role) => role === word)) ? ROLES.filter((role) => words.includes(role)) : null;
}

/** Least and most characters of a passphrase. The least: NIST SP 800-63B-4, 3.1.1.2, for one that stands alone; the same has no rules of composition. */
export const PASSPHRASE_CHARS = { least: 15, most: 500 } as const;
export const NAME_MAX_CHARS = 80;

/** The name without what eyes miss: one form of each character, small letters, single spaces (Unicode NFKC). */
export function nameKeyOf(name: string): string {
  return name.normalize("NFKC").toLowerCase().replace(/\s+/gu, " ").trim();
}

/** A path of this server to go on to; "/" for anything else, so that a link leads nowhere foreign. */
export function ownPath(path: unknown): string {
  if (typeof path !== "string" || !/^\/(?![/\\])[^\\\p{Cc}]*$/u.test(path)) return "/";
  return /^\/(sign-in|first|invited)(?![\w-])/.test(path) ? "/" : path;
}

/** A person on the page of people. */
export interface PersonLine {
  readonly id: string;
  readonly name: string;
  readonly roles: readonly Role[];
  /** ISO 8601, UTC. */
  readonly createdAt: string;
  readonly retiredAt: string | null;
  /** Browsers on which the person is signed in now. */
  readonly sessionCount: number;
  /** null: not lately. */
  readonly seenAt: string | null;
}

/** A link that was handed out and still counts. */
export interface LinkLine {
  /** Of its key: names the link without being it. */
  readonly keySha256: string;
  readonly kind: "invited" | "newPassphrase";
  readonly name: string;
  readonly roles: readonly Role[];
  readonly createdBy: string;
  readonly expiresAt: string;
}

/** What an administrator does. Links are answered with their path and key, this once. */
export type PeopleDeed =
  | { readonly do: "invite"; readonly name: string; readonly roles: readonly string[] }
  | { readonly do: "takeBackLink"; readonly keySha256: string }
  | { readonly do: "roles"; readonly personId: string; readonly roles: readonly string[] }
  | { readonly do: "retire" | "bringBack" | "endSessions" | "newPassphrase"; readonly personId: string };

/** What is answered: a path with its key, where a link was made. */
export interface PeopleAnswer { readonly link: string | null }

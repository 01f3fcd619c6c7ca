/**
 * Whether `text` is the beginning of a JSON value that simply stops: what a line looks like that broke off in the middle.
 * A whole value, or a fault before the end, is none.
 */
export function isBrokenOffJson(text: string): boolean {
  const walker = new Walker(text);
  return walker.value() === "ended";
}

type Step = "taken" | "ended" | "fault";

class Walker {
  private pos = 0;
  private depth = 0;
  constructor(private readonly text: string) {}

  value(): Step {
    if (++this.depth > 1000) return "fault";
    const step = this.anyValue();
    this.depth--;
    return step;
  }

  private anyValue(): Step {
    this.blanks();
    const c = this.text[this.pos];
    if (c === undefined) return "ended";
    if (c === '"') return this.string();
    if (c === "[") return this.items("]", () => this.value());
    if (c === "{") return this.items("}", () => this.member());
    const word = ["null", "true", "false"].find((w) => w[0] === c);
    return word === undefined ? this.number() : this.word(word);
  }

  private blanks(): void {
    while (" \t\r\n".includes(this.text[this.pos] ?? "x")) this.pos++;
  }

  private word(word: string): Step {
    const found = this.text.slice(this.pos, this.pos + word.length);
    this.pos += found.length;
    return found === word ? "taken" : word.startsWith(found) ? "ended" : "fault";
  }

  private string(): Step {
    if (this.text[this.pos] !== '"') return this.pos >= this.text.length ? "ended" : "fault";
    for (this.pos++; this.pos < this.text.length; this.pos++) {
      if (this.text[this.pos] === "\\") this.pos++;
      else if (this.text[this.pos] === '"') {
        this.pos++;
        return "taken";
      }
    }
    return "ended";
  }

  private number(): Step {
    const found = /^-?(?:0|[1-9]\d*)?(?:\.\d*)?(?:[eE][+-]?\d*)?/.exec(this.text.slice(this.pos, this.pos + 400))?.[0] ?? "";
    this.pos += found.length;
    if (this.pos >= this.text.length) return "ended";
    return /\d$/.test(found) ? "taken" : "fault";
  }

  private member(): Step {
    this.blanks();
    const key = this.string();
    if (key !== "taken") return key;
    this.blanks();
    const colon = this.word(":");
    return colon === "taken" ? this.value() : colon;
  }

  private items(close: string, item: () => Step): Step {
    this.pos++;
    this.blanks();
    if (this.text[this.pos] === close) return this.word(close);
    for (;;) {
      const step = item();
      if (step !== "taken") return step;
      this.blanks();
      const c = this.text[this.pos++];
      if (c === close) return "taken";
      if (c === undefined) return "ended";
      if (c !== ",") return "fault";
    }
  }
}

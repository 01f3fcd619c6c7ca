/** A call of the wire as its page shows it. */
export interface ApiField {
  /** Dotted for nested keys. */
  readonly name: string;
  /** "number", "one of pause, resume". */
  readonly type: string;
  readonly isRequired: boolean;
  readonly about: string;
}

export interface ApiBody { readonly type: string; readonly about: string; /** Alternatives, each with its keys; empty: no object of JSON. */ readonly shapes: readonly { readonly name: string; readonly fields: readonly ApiField[] }[] }

export interface ApiCall {
  readonly method: string;
  readonly path: string;
  readonly about: string;
  /** Who may make it. */
  readonly who: string;
  readonly query: readonly ApiField[];
  readonly bodies: readonly ApiBody[];
  /** Status with what it means. */
  readonly answers: readonly { readonly status: string; readonly about: string; readonly fields: readonly ApiField[] }[];
}

export interface ApiPage { readonly about: string; readonly calls: readonly ApiCall[]; readonly clients: readonly { readonly name: string; readonly text: string }[] }

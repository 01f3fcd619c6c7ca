"use client";
import { useState, type FormEvent } from "react";
import { sendForm } from "../runs/[id]/sendForm.ts";

interface Entering {
  readonly said: string;
  readonly isSending: boolean;
  readonly submit: (event: FormEvent, body: object) => Promise<void>;
}

/** Sends what a person gives to come in, and goes on to `next`; where it is refused, `refused` and why. */
export function useEntering(path: string, { next, refused }: { readonly next: string; readonly refused: string }): Entering {
  const [said, setSaid] = useState("");
  const [isSending, setSending] = useState(false);
  const submit = async (event: FormEvent, body: object): Promise<void> => {
    event.preventDefault();
    setSending(true);
    setSaid("");
    const sent = await sendForm(path, body);
    if (!("problem" in sent)) {
      window.location.assign(next);
      return;
    }
    setSending(false);
    setSaid(`${refused}: ${sent.problem}.`);
  };
  return { said, isSending, submit };
}

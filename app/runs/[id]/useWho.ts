"use client";
import { useEffect, useState } from "react";

const KEY = "aslaid.who";

/** The name that a person acts under: typed once, kept in this browser. "": nobody has said. */
export function useWho(): [string, (name: string) => void] {
  const [who, setWho] = useState("");
  useEffect(() => {
    const read = (): void => setWho(localStorage.getItem(KEY) ?? "");
    read();
    window.addEventListener("storage", read);
    return () => window.removeEventListener("storage", read);
  }, []);
  return [who, (name) => {
    setWho(name);
    localStorage.setItem(KEY, name);
  }];
}

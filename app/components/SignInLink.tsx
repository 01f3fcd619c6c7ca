"use client";
import { usePathname } from "next/navigation";
import type { ReactNode } from "react";

/** Leads to the sign-in page, and from there back to this very place. */
export function SignInLink({ children }: { readonly children: ReactNode }) {
  const path = usePathname();
  return (
    // oxlint-disable-next-line next/no-html-link-for-pages -- a page that is loaded anew knows who is signed in
    <a href={`/sign-in?next=${encodeURIComponent(path)}`} onClick={(event) => {
      const { pathname, search, hash } = window.location;
      event.currentTarget.href = `/sign-in?next=${encodeURIComponent(pathname + search + hash)}`;
    }}>{children}</a>
  );
}

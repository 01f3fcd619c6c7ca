import "@fontsource/barlow-semi-condensed/latin-400.css";
import "@fontsource/barlow-semi-condensed/latin-500.css";
import "@fontsource/barlow-semi-condensed/latin-600.css";
import "@fontsource/barlow-semi-condensed/latin-700.css";
import type { Metadata, Viewport } from "next";
import type { ReactNode } from "react";
import { ALERT_CSS } from "./components/alarm/alarmStyle.ts";
import { MARK_CSS } from "./components/markStyle.ts";
import "./sheet.css";
import "./review.css";
import "./depth.css";
import "./components/alarm/alarm.css";

export const metadata: Metadata = { title: { default: "Aslaid", template: "%s · Aslaid" }, description: "Planned against laid, strand by strand." };
export const viewport: Viewport = { colorScheme: "light dark" };

export default function Layout({ children }: { readonly children: ReactNode }) {
  return (
    <html lang="en">
      <head><style>{MARK_CSS}</style><style>{ALERT_CSS}</style></head>
      <body>{children}</body>
    </html>
  );
}

import type { Metadata } from "next";
import { Acting } from "../components/Acting.tsx";
import { look } from "../door.ts";
import { CalibrationPage } from "./CalibrationPage.tsx";
import "../components/report.css";
import "../prepare/prepare.css";
import "./calibration.css";

export const dynamic = "force-dynamic";
export const metadata: Metadata = { title: "Calibrate a camera" };

export default async function CalibrationRoute() {
  const person = await look("/calibration");
  return <Acting person={person}><CalibrationPage /></Acting>;
}

"use client";
import Link from "next/link";
import type { LiveWords } from "../../../../lib/model/liveSheet.ts";
import { AlertLight } from "../../../components/alarm/AlertLight.tsx";
import { WhoLine } from "../../../components/WhoLine.tsx";
import { useKept } from "../../../components/useKept.ts";
import { lightOf } from "./alertWords.ts";
import { newsOf } from "./watchWords.ts";

interface Props {
  readonly words: LiveWords;
  /** null: neither rehearsal nor demo. */
  readonly stamp: string | null;
  /** null: the server is there. */
  readonly silentS: number | null;
}

/** What is so, what to do, and how sure that is: read from two metres. Read out when it is news, and not for every second that goes by. */
export function WatchHeader({ words, stamp, silentS }: Props) {
  const isLost = silentS !== null, age = isLost ? `${silentS} s` : words.isOld ? words.ageWords : null;
  const headline = isLost ? `No word from the server for ${silentS} s.` : words.headline;
  const advice = isLost ? "Look at the cell itself: it decides by itself." : words.advice;
  const detail = isLost ? `What stands here is as old. Last said: ${words.headline}` : words.detail;
  const news = useKept([headline, advice].filter((part) => part !== null).join(" "), (a, b) => newsOf(a) === newsOf(b)), light = lightOf(words.alerts);
  return (
    <header className="watch-header">
      <div className="alarm-edge">{light === null ? null : <AlertLight {...light} />}</div>
      <div className="watch-words">
        <h1 className={isLost ? "lost" : undefined}>{headline}</h1>
        {advice === null ? null : <p className="advice">{advice}</p>}
        <p className="detail">{detail}</p>
        <p role="status" className="read-aloud">{news}</p>
      </div>
      <div className="above">{stamp === null ? null : <p className="stamp">{stamp}</p>}{age === null ? null : <p className="age">{age} old</p>}<Link href="/">All runs</Link><WhoLine /></div>
    </header>
  );
}

import type { ReportTable } from "../../lib/model/report.ts";

/** A report's table on a page; wide ones scroll in their own frame. */
export function NumberTable({ table }: { readonly table: ReportTable }) {
  return (
    // oxlint-disable-next-line jsx-a11y/no-noninteractive-tabindex -- it scrolls, so the keyboard has to reach it
    <div className="number-table" tabIndex={0} role="region" aria-label={table.caption}>
      <table>
        <caption>{table.caption}</caption>
        <thead><tr>{table.columns.map(({ title, isNumber }) => <th key={title} scope="col" className={isNumber ? "number" : undefined}>{title}</th>)}</tr></thead>
        <tbody>{table.rows.map((row, i) => <tr key={i}>{row.map((cell, k) => <td key={k} className={table.columns[k]?.isNumber === true ? "number" : undefined}>{cell}</td>)}</tr>)}</tbody>
      </table>
    </div>
  );
}

"use client";
import { ROLES, type Role } from "../../lib/model/person.ts";

/** Which roles a person has: one or several. */
export function RoleBoxes({ legend, roles, onChange }: { readonly legend: string; readonly roles: readonly Role[]; readonly onChange: (roles: readonly Role[]) => void }) {
  return (
    <fieldset className="role-boxes">
      <legend>{legend}</legend>
      {ROLES.map((role) => (
        <label key={role}><input type="checkbox" checked={roles.includes(role)} onChange={(event) => onChange(ROLES.filter((each) => (each === role ? event.target.checked : roles.includes(each))))} /> {role}</label>
      ))}
    </fieldset>
  );
}

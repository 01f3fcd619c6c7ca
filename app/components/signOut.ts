/** Signs out here, or on every browser, and loads the page anew: what it then shows is for nobody in particular. */
export async function signOut(isEverywhere = false): Promise<void> {
  await fetch(`/api/sign-out${isEverywhere ? "?everywhere" : ""}`, { method: "POST" }).catch(() => undefined);
  window.location.reload();
}

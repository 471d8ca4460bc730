// A photo of a label: its number, found by the server, is taken as if a scanner had typed it.

export function photographed(take) {
  const form = document.getElementById("photo");
  if (!form) return;
  form.querySelector("button").hidden = true; // the photo is sent as soon as it is there
  const said = form.querySelector("span");
  const words = said.textContent;
  const field = form.querySelector("input");
  field.addEventListener("change", async () => {
    if (!field.files.length) return;
    said.textContent = "Reading…";
    const found = await sent(new FormData(form));
    form.reset();
    said.textContent = found.piece ? words : found.said;
    if (found.piece) take(String(found.piece));
  });
}

async function sent(photo) {
  try {
    const answer = await fetch("/scanned", { method: "POST", body: photo, headers: { Accept: "application/json" } });
    const told = await answer.json();
    return answer.ok ? told : { said: `${told.said} ${told.remedy}` };
  } catch {
    return { said: "The server is away: type the number." };
  }
}

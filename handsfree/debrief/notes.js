/* Forms to add a note.  This script is on the page only where a server handed in a token.

   The contract with that server (`server.py`):
   - the page holds <meta name="notes-token" content=TOKEN>, and its policy allows it to speak to where it came from;
   - a note is sent by POST to `notes`, beside the page, as JSON, with the token in the header `X-Notes-Token`:
         {"kind": "note", "about": 31, "author": "RT", "text": "Said too fast."}
         {"kind": "mark", "about": 31, "author": "RT", "item": SCENE, "mark": "hit"}
         {"kind": "overruled", "about": 31, "author": "RT", "outcome": "finding", "words": "cut on tyre two"}
     `about` = number of the event, `mark` = one of: hit, miss, false alarm, right, omitted; `outcome` = what was heard
     should have been taken for: pass or finding, with the words that were said;
   - what was kept comes back with status 201 and the time set by the server, and is shown at its event;
   - with any other status {"message": "what is wrong"} comes back: it is shown, and the form stays as it was. */
(() => {
  "use strict";
  const meta = document.querySelector('meta[name="notes-token"]');
  if (!meta) return;
  const OUTCOMES = ["hit", "miss", "false alarm", "right", "omitted"];

  const make = (name, attributes = {}, ...children) => {
    const made = document.createElement(name);
    for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
    made.append(...children);
    return made;
  };
  const field = (name, input) => make("label", {}, make("span", {}, name), input);

  const heading = make("h2", { id: "note-heading" });
  const author = make("input", { name: "author", required: "", maxlength: "60", autocomplete: "name" });
  const text = make("textarea", { name: "text", rows: "4", maxlength: "2000" });
  const overrule = make("select", { name: "overrule" }, make("option", { value: "" }, "as it was counted"));
  for (const outcome of OUTCOMES) overrule.append(make("option", { value: outcome }, outcome));
  const judged = field("Judge anew", overrule);
  const taken = make("select", { name: "taken" }, make("option", { value: "" }, "as it was heard"),
    make("option", { value: "pass" }, "passed"), make("option", { value: "finding" }, "a finding"));
  const words = make("input", { name: "words", maxlength: "300" });
  const overruled = [field("Should have been", taken), field("What was said", words)];
  const problem = make("p", { role: "alert", class: "warning", hidden: "" });
  const keep = make("button", { type: "submit" }, "Keep the note");
  const cancel = make("button", { type: "button" }, "Cancel");
  const form = make("form", {}, heading, field("Your name", author), field("Note", text), judged, ...overruled, problem,
    make("div", { class: "tools" }, keep, cancel));
  const dialog = make("dialog", { "aria-labelledby": "note-heading" }, form);
  document.body.append(dialog);
  let row = null;

  function open(about) {
    row = about;
    heading.textContent = `Note on event ${row.dataset.event}`;
    judged.hidden = !row.dataset.judged;
    for (const one of overruled) one.hidden = row.dataset.heard === undefined;
    overrule.value = "";
    taken.value = "";
    words.value = row.dataset.heard || "";
    text.value = "";
    problem.hidden = true;
    dialog.showModal();
  }

  function minute(time) {
    const at = new Date(time);
    return Number.isNaN(at.getTime()) ? time : `${at.toISOString().slice(0, 16).replace("T", " ")} UTC`;
  }

  function show(note) {
    const by = make("strong", {}, `Note by ${note.author}, ${minute(note.time)}:`);
    const said = { mark: () => `Judged anew: ${note.mark}.`, note: () => note.text,
      overruled: () => `Should have been: ${[note.outcome, note.words].filter(Boolean).join(", ")}.` };
    row.querySelector(".what").append(make("p", { class: "note" }, by, ` ${said[note.kind]()}`));
  }

  function complain(message) {
    problem.textContent = message;
    problem.hidden = false;
  }

  async function send(note) {
    const answer = await fetch("notes", {
      method: "POST",
      headers: { "Content-Type": "application/json", "X-Notes-Token": meta.content },
      body: JSON.stringify({ about: Number(row.dataset.event), author: author.value, ...note }),
    });
    const said = await answer.json();
    if (!answer.ok) throw new Error(said.message || `the server answered ${answer.status}`);
    show(said);
  }

  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    if (!text.value.trim() && !overrule.value && !taken.value) {
      complain("Write a note, or say what should have been.");
      return;
    }
    keep.disabled = true;
    try {
      if (text.value.trim()) await send({ kind: "note", text: text.value });
      text.value = "";  // kept: what comes next may fail, and is tried again without it
      if (overrule.value) await send({ kind: "mark", item: row.dataset.judged, mark: overrule.value });
      overrule.value = "";
      if (taken.value) await send({ kind: "overruled", outcome: taken.value, words: words.value.trim() });
      dialog.close();
    } catch (error) {
      complain(`The note was not kept: ${error.message}`);
    } finally {
      keep.disabled = false;
    }
  });
  cancel.addEventListener("click", () => dialog.close());
  dialog.addEventListener("close", () => row && row.focus());

  for (const one of document.querySelectorAll("#rows .row")) {
    const button = make("button", { type: "button", class: "add", tabindex: "-1" }, "Add a note");
    button.addEventListener("click", () => open(one));
    one.querySelector(".sound").append(button);
  }
})();

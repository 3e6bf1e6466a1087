// A file that is too large is refused while it is chosen, with the mend, not after minutes of sending. A photo is made
// smaller first: it goes over a poor connection, and it loses the place and the device that a camera writes into it.

const MOST_BYTES = 15_000_000;    // as events/paper/pictures.py; lists and workbooks have their own limits below it
const LONGEST_SIDE = 1600;        // pixels, as the laptop keeps it anyway
const SMALL_ENOUGH = 500_000;     // bytes: not touched
const MB = 1_000_000;

const isPhotoField = (field) => /^image\//.test(field.accept);

async function smaller(file) {
  const picture = await createImageBitmap(file);
  const scale = Math.min(1, LONGEST_SIDE / Math.max(picture.width, picture.height));
  const canvas = Object.assign(document.createElement("canvas"), { width: Math.round(picture.width * scale), height: Math.round(picture.height * scale) });
  canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
  picture.close();
  const blob = await new Promise((resolve) => { canvas.toBlob(resolve, "image/jpeg", 0.9); });
  return blob && blob.size < file.size ? new File([blob], "photo.jpg", { type: "image/jpeg" }) : file;
}

function put(field, file) {
  const held = new DataTransfer();
  held.items.add(file);
  field.files = held.files;
}

// The sentence stands below the field, and the browser itself holds the form back as long as it does.
function refuse(field, words) {
  field.setCustomValidity(words);
  const id = `${field.id || field.name}-too-large`;
  document.getElementById(id)?.remove();
  if (!words) return;
  const line = Object.assign(document.createElement("p"), { id, className: "said error", textContent: words });
  line.setAttribute("role", "alert");
  (field.closest("label") ?? field).after(line);
}

function mend(field) {
  if (isPhotoField(field)) return "take it again with a lower resolution, or cut it.";
  if (field.accept === ".zip") return "open it on the laptop itself with manage.py open_archive.";
  return "leave out pictures and sheets that are not needed, or send it in parts.";
}

document.addEventListener("change", async (event) => {
  const field = event.target;
  const file = field.type === "file" && field.files[0];
  if (field.type !== "file") return;
  refuse(field, "");
  if (!file) return;
  let kept = file;
  if (isPhotoField(field) && file.size > SMALL_ENOUGH) {
    field.setCustomValidity("The picture is being made smaller: press once more.");
    try { kept = await smaller(file); } catch { /* a picture that this browser cannot read goes as it is */ }
    if (field.files[0] !== file) return;   // another one was chosen meanwhile
    if (kept !== file) put(field, kept);
  }
  const size = `${(kept.size / MB).toFixed(1)} MB`;
  refuse(field, kept.size > MOST_BYTES ? `“${file.name}” has ${size}, and the laptop takes ${MOST_BYTES / MB} MB at most: ${mend(field)}` : "");
});

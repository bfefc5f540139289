// What goes into a field of the measuring sheet by a touch or from the clipboard.

/** A key of the keypad goes into a field. @param {boolean} over a value that was refused stands there marked, and is written over. */
export function press(field, key, over) {
  if (over && key !== '+' && key !== '−' && field.selectionEnd - field.selectionStart === field.value.length) field.value = '';
  if (key === 'rub') field.value = field.value.slice(0, -1);
  else if (key === '+' || key === '−') field.value = key + field.value.replace(/^[+−-]/, '');
  else field.value += key;
  field.focus({ preventScroll: true });
  field.setSelectionRange(field.value.length, field.value.length);
}

/** A table pasted into a field is refused in words. */
export function takesOne(event, tell) {
  const values = event.clipboardData.getData('text').trim().split(/[\s;]+/);
  if (values.length < 2 || !event.target.closest('[data-value]')) return;
  event.preventDefault();
  tell(`Nothing was taken: a field takes one value, and ${values.length} were pasted. A whole run is imported as a file.`);
}

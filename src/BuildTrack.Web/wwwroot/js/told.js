/** A line at the foot of the sheet that is there only while it has something to say. @returns {(text: string) => void} says a text; the empty one takes the line away. */
export function strip() {
  const told = document.createElement('p');
  told.className = 'told told--here';
  told.hidden = true;
  told.setAttribute('role', 'alert');
  document.body.append(told);
  return (text) => {
    told.textContent = text;
    told.hidden = !text;
  };
}

/** True for what may be a code of the door (ten of the letters of Crockford's
    base 32), and not for the name of a view such as "wall". */
export function isCode(text: string): boolean {
  return /^[0-9a-hjkmnp-tv-z]{5}-?[0-9a-hjkmnp-tv-z]{5}$/i.test(text);
}

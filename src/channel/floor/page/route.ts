/** The screens, by the part of the address after `#`. */
export type Route =
  | { readonly is: 'board' }
  | { readonly is: 'bay'; readonly bay: string }
  | { readonly is: 'pictures'; readonly bay: string }
  | { readonly is: 'foreman' }
  | { readonly is: 'start' }
  | { readonly is: 'sign-in' };

export function routeOf(hash: string): Route {
  const [first = '', second = ''] = hash.replace(/^#\/?/, '').split('/').map(decoded);
  if (first === 'bay' && second !== '') return { is: 'bay', bay: second };
  if (first === 'pictures' && second !== '') return { is: 'pictures', bay: second };
  if (first === 'foreman' || first === 'start' || first === 'sign-in') return { is: first };
  return { is: 'board' };
}

function decoded(text: string): string {
  try {
    return decodeURIComponent(text);
  } catch {
    return '';
  }
}

export const bayPath = (bay: string) => `#/bay/${encodeURIComponent(bay)}`;
export const picturesPath = (bay: string) => `#/pictures/${encodeURIComponent(bay)}`;

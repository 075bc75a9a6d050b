/* SPDX-License-Identifier: MIT */
/* A text as words alone, wherever it is posted.
 *
 * Labels, scenes and players are whatever somebody typed, and a chat reads some signs as more than
 * words: it calls people, links, or marks up. Which signs depends on the chat, and nothing of one
 * is known here. So each sign that begins such a thing, in plain or full-width form, is parted from
 * what follows by the thinnest of blanks (U+200A), which hardly anybody sees. A mark without any
 * width would not do: to some programs that is a letter like others, and some take it out.
 *
 *   @name  #name  ~name  &name;  <anything     behind the sign, unless a blank follows
 *   [text](address)  [text][name]  [text]: a   behind the closing bracket, unless a blank follows
 *   scheme://address  //address  [[name]]      between the signs
 *   host.name                                  behind a dot before a letter
 *   `text`                                     each becomes an apostrophe
 *
 * What the hook's template holds besides is its owner's, and stays as it is.
 */
#ifndef GAINWARDEN_WORDS_ONLY_H
#define GAINWARDEN_WORDS_ONLY_H

/* For free(). A text without any of these comes back as it was; so does one that came from here. */
char *words_only(const char *text);

#endif

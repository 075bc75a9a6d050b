/* SPDX-License-Identifier: MIT */
/* Pages: one self-contained HTML file each, without scripts and without anything from elsewhere,
 * so that it opens from a memory stick on a phone. Whatever is not part of a format is escaped.
 */
#ifndef GAINWARDEN_HTML_H
#define GAINWARDEN_HTML_H

#include <stdio.h>

/* The head, and the opening of <body> and its <header>; and the end of its <main>. The title is
 * text from outside. */
void html_begin(FILE *page, const char *title);
void html_end(FILE *page);

/* Writes the format as it is, and in it: %s text, escaped; %d; %zu; %.Nf; %%; and %f "14", "−3.5",
 * "off": at most one decimal, with a true minus sign; %+f the same with a plus sign where it is
 * above 0. In text, what is no UTF-8, control characters and what turns the writing direction come
 * out as U+FFFD. Anything else is our own bug. */
void html_add(FILE *page, const char *format, ...) __attribute__((format(printf, 2, 3)));

#endif

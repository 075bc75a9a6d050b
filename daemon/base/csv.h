/* SPDX-License-Identifier: MIT */
/* Comma-separated values as in RFC 4180: CRLF, quotes where needed, doubled inside; also around what
 * some programs take for a separator. */
#ifndef GAINWARDEN_CSV_H
#define GAINWARDEN_CSV_H

#include <stdbool.h>
#include <stdio.h>

struct csv {
    FILE *to;
    bool begun; /* the row has a field */
};

/* Text that a spreadsheet would take for a formula (OWASP, "CSV Injection") gets an apostrophe
 * before it, whatever blanks it begins with. A number stays one. */
void csv_text(struct csv *csv, const char *text);
void csv_number(struct csv *csv, double number); /* as short as it is exact, with a point */
void csv_end_row(struct csv *csv);

#endif

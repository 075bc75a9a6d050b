/* SPDX-License-Identifier: MIT */
/* The only file that knows libqrencode: a text as a QR code (ISO/IEC 18004) of half blocks. */
#ifndef GAINWARDEN_BOARD_QR_H
#define GAINWARDEN_BOARD_QR_H

#include <stdbool.h>
#include <stdio.h>

/* Prints it on a terminal of that many columns, dark on light whatever the terminal's own colours
 * are. False, and nothing is printed, where it does not fit. */
bool qr_print(FILE *to, const char *text, int columns);

#endif

/* SPDX-License-Identifier: MIT */
#include "board/qr.h"

#include <qrencode.h>

enum { QUIET = 4 /* modules of light around it, as the standard wants */ };

static bool
is_dark(const QRcode *code, int x, int y)
{
    if (x < 0 || y < 0 || x >= code->width || y >= code->width)
        return false;
    return code->data[y * code->width + x] & 1;
}

/* Two rows of modules. */
static void
print_line(FILE *to, const QRcode *code, int y)
{
    static const char *const blocks[] = {" ", "\u2584", "\u2580", "\u2588"};

    fputs("\x1b[30;47m", to);
    for (int x = -QUIET; x < code->width + QUIET; x++)
        fputs(blocks[2 * is_dark(code, x, y) + is_dark(code, x, y + 1)], to);
    fputs("\x1b[0m\n", to);
}

bool
qr_print(FILE *to, const char *text, int columns)
{
    QRcode *code = QRcode_encodeString8bit(text, 0, QR_ECLEVEL_L);
    bool fits = code && code->width + 2 * QUIET <= columns;

    for (int y = -QUIET; fits && y < code->width + QUIET; y += 2)
        print_line(to, code, y);
    if (code)
        QRcode_free(code);
    return fits;
}

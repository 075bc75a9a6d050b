/* SPDX-License-Identifier: MIT */
#include "page/html.h"

#include <assert.h>
#include <math.h>
#include <stdarg.h>
#include <string.h>

#include "base/embedded.h"
#include "base/escape.h"

static void
add_character(FILE *page, const char *text, size_t length)
{
    static const char replacement[] = "\xef\xbf\xbd", special[] = "&<>\"'";
    static const char *const instead[] = {"&amp;", "&lt;", "&gt;", "&quot;", "&#39;"};
    const char *found = strchr(special, *text);

    if (length == 0 || !escape_is_harmless(text))
        fputs(replacement, page);
    else if (found)
        fputs(instead[found - special], page);
    else
        fwrite(text, 1, length, page);
}

static void
add_text(FILE *page, const char *text)
{
    while (*text) {
        size_t length = escape_character(text);

        add_character(page, text, length);
        text += length > 0 ? length : 1;
    }
}

static void
add_number(FILE *page, double number, const char *plus)
{
    double tenths = round(number * 10) / 10;
    const char *sign = tenths < 0 ? "\xe2\x88\x92" : tenths > 0 ? plus : "";

    if (isfinite(number))
        fprintf(page, "%s%.*f", sign, fmod(fabs(tenths), 1) == 0 ? 0 : 1, fabs(tenths));
    else
        fputs("off", page);
}

/* Takes what stands behind a '%'; returns what follows it. */
static const char *
add_argument(FILE *page, const char *at, va_list *arguments)
{
    if (*at == '%') {
        putc('%', page);
    } else if (*at == 's') {
        add_text(page, va_arg(*arguments, const char *));
    } else if (*at == 'd') {
        fprintf(page, "%d", va_arg(*arguments, int));
    } else if (strncmp(at, "zu", 2) == 0) {
        fprintf(page, "%zu", va_arg(*arguments, size_t));
        at++;
    } else if (*at == 'f') {
        add_number(page, va_arg(*arguments, double), "");
    } else if (strncmp(at, "+f", 2) == 0) {
        add_number(page, va_arg(*arguments, double), "+");
        at++;
    } else {
        assert(at[0] == '.' && at[1] >= '0' && at[1] <= '9' && at[2] == 'f');
        fprintf(page, "%.*f", at[1] - '0', va_arg(*arguments, double));
        at += 2;
    }
    return at + 1;
}

void
html_add(FILE *page, const char *format, ...)
{
    va_list arguments;

    va_start(arguments, format);
    while (*format) {
        size_t plain = strcspn(format, "%");

        fwrite(format, 1, plain, page);
        format += plain;
        if (*format)
            format = add_argument(page, format + 1, &arguments);
    }
    va_end(arguments);
}

void
html_begin(FILE *page, const char *title)
{
    html_add(page,
             "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
             "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
             "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; "
             "style-src 'unsafe-inline'\">\n"
             "<meta name=\"generator\" content=\"gainwarden %s\">\n<title>%s</title>\n<style>\n",
             GAINWARDEN_VERSION, title);
    fputs(embedded_page_css, page);
    fputs("</style>\n</head>\n<body>\n<header>\n", page);
}

void
html_end(FILE *page)
{
    fputs("</main>\n</body>\n</html>\n", page);
}

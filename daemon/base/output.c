/* SPDX-License-Identifier: MIT */
#include "base/output.h"

#include <errno.h>
#include <poll.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include "base/columns.h"
#include "base/escape.h"
#include "base/text_format.h"

enum { ROW_ROOM = 24 }; /* columns that a text beside its label needs */

static const int nothing_strong[OUTPUT_STRONG] = {OUTPUT_NONE, OUTPUT_NONE};

/* ECMA-48: select graphic rendition. */
static const char bold[] = "\033[1m", plain[] = "\033[0m";

/* Where the next word goes. */
struct paper {
    FILE *to;
    int width, rest;
    int column;
    bool begun, bold;
};

static int
width_of(FILE *to)
{
    struct winsize size;

    if (ioctl(fileno(to), TIOCGWINSZ, &size) != 0 || size.ws_col == 0)
        return OUTPUT_WIDTH;
    return size.ws_col < OUTPUT_LEAST_WIDTH ? OUTPUT_LEAST_WIDTH : size.ws_col;
}

int
output_width(void)
{
    return width_of(stdout);
}

static bool
may_be_bold(FILE *to)
{
    const char *none = getenv("NO_COLOR"), *term = getenv("TERM");

    return isatty(fileno(to)) && !(none && *none) && term && *term && strcmp(term, "dumb") != 0;
}

static struct paper
paper_of(FILE *to, int column, int rest)
{
    return (struct paper){
        .to = to, .width = width_of(to), .rest = rest, .column = column, .bold = may_be_bold(to)};
}

/* A word that is wider than the terminal stays whole: it is a path, or an address. */
static void
put_word(struct paper *paper, const char *word, size_t length, bool strong)
{
    int wide = columns_escaped(word, length);

    if (paper->begun && paper->column + 1 + wide > paper->width) {
        fprintf(paper->to, "\n%*s", paper->rest, "");
        paper->column = paper->rest;
    } else if (paper->begun) {
        fputc(' ', paper->to);
        paper->column++;
    }
    fputs(strong && paper->bold ? bold : "", paper->to);
    escape_print_part(paper->to, word, length);
    fputs(strong && paper->bold ? plain : "", paper->to);
    paper->column += wide;
    paper->begun = true;
}

static void
put_words(struct paper *paper, const char *text, const int strong[OUTPUT_STRONG])
{
    for (const char *word = text + strspn(text, " "); *word; word += strspn(word, " ")) {
        size_t length = strcspn(word, " ");
        int at = (int)(word - text);

        put_word(paper, word, length, at == strong[0] || at == strong[1]);
        word += length;
    }
    fputc('\n', paper->to);
}

static void
put_paragraph(FILE *to, int first, int rest, const char *text, const int strong[OUTPUT_STRONG])
{
    struct paper paper = paper_of(to, first, rest);

    fprintf(to, "%*s", first, "");
    put_words(&paper, text, strong);
}

void
output_paragraph(FILE *to, int first, int rest, const char *text)
{
    put_paragraph(to, first, rest, text, nothing_strong);
}

void
output_wrapped(int first, int rest, const char *text)
{
    put_paragraph(stdout, first, rest, text, nothing_strong);
}

__attribute__((format(printf, 4, 0))) static void
put_printed(int first, int rest, const int strong[OUTPUT_STRONG], const char *format, va_list args)
{
    char *text;

    for (; *format == '\n'; format++)
        putchar('\n');
    text = text_vprinted(format, args);
    put_paragraph(stdout, first, rest, text, strong);
    free(text);
}

void
output_format(int first, int rest, const char *format, ...)
{
    va_list args;

    va_start(args, format);
    put_printed(first, rest, nothing_strong, format, args);
    va_end(args);
}

void
output_led(int first, int rest, const char *format, ...)
{
    va_list args;

    va_start(args, format);
    put_printed(first, rest, (const int[OUTPUT_STRONG]){0, OUTPUT_NONE}, format, args);
    va_end(args);
}

void
output_padded(int first, int column, const char *label)
{
    int end = first + columns_escaped(label, strlen(label));

    printf("%*s", first, "");
    escape_print(stdout, label);
    printf("%*s", column > end ? column - end : 1, "");
}

void
output_row(FILE *to, int first, int column, const char *label, const char *text)
{
    struct paper paper = paper_of(to, column, column);
    int end = first + columns_escaped(label, strlen(label));

    fprintf(to, "%*s", first, "");
    escape_print(to, label);
    if (paper.width - column < ROW_ROOM) {
        fputc('\n', to);
        put_paragraph(to, first + 4, first + 4, text, nothing_strong);
        return;
    }
    if (end + 2 > column) {
        fputc('\n', to);
        end = 0;
    }
    fprintf(to, "%*s", column - end, "");
    put_words(&paper, text, nothing_strong);
}

void
output_line(FILE *to, int rest, const char *text, const int strong[OUTPUT_STRONG])
{
    if (isatty(fileno(to))) {
        put_paragraph(to, (int)strspn(text, " "), rest, text, strong ? strong : nothing_strong);
        return;
    }
    escape_print(to, text);
    fputc('\n', to);
}

void
output_line_format(FILE *to, int rest, const char *format, ...)
{
    va_list args;
    char *text;

    va_start(args, format);
    text = text_vprinted(format, args);
    va_end(args);
    output_line(to, rest, text, NULL);
    free(text);
}

/* Of a line that could not be written before. A terminal that has gone says so to whoever asks, and a
 * pipe whose reader has. */
static const char *
why_lost(void)
{
    struct pollfd out = {.fd = fileno(stdout), .events = POLLOUT};

    if (write(out.fd, "", 0) < 0)
        return strerror(errno);
    if (poll(&out, 1, 0) == 1 && (out.revents & POLLERR))
        return strerror(EPIPE);
    return "a line before was lost";
}

bool
output_finish(void)
{
    static bool told;
    bool flushed = fflush(stdout) == 0;

    if (flushed && !ferror(stdout))
        return true;
    if (!told)
        fprintf(stderr, "gainwarden: cannot write to standard output: %s\n",
                flushed ? why_lost() : strerror(errno));
    told = true;
    return false;
}

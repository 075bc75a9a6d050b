#include "output.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "escape.h"

/* Columns a word takes: characters, not bytes. */
static int
columns(const char *word, size_t length)
{
    int count = 0;

    for (size_t i = 0; i < length; i++)
        count += ((unsigned char)word[i] & 0xc0) != 0x80;
    return count;
}

void
output_wrapped(int first, int rest, const char *text)
{
    int column = first;
    bool begun = false;

    printf("%*s", first, "");
    while (*text) {
        char word[256];
        size_t length = strcspn(text, " ");
        int wide = columns(text, length);

        snprintf(word, sizeof word, "%.*s", (int)length, text);
        text += length + (text[length] == ' ');
        if (length == 0)
            continue;
        if (begun && column + 1 + wide > OUTPUT_WIDTH) {
            printf("\n%*s", rest, "");
            column = rest;
        } else if (begun) {
            putchar(' ');
            column++;
        }
        escape_print(stdout, word);
        column += wide;
        begun = true;
    }
    putchar('\n');
}

void
output_line(int rest, const char *text)
{
    if (isatty(STDOUT_FILENO)) {
        output_wrapped(0, rest, text);
        return;
    }
    escape_print(stdout, text);
    putchar('\n');
}

bool
output_finish(void)
{
    static bool told;

    if (fflush(stdout) == 0 && !ferror(stdout))
        return true;
    if (!told)
        fprintf(stderr, "gainwarden: cannot write to standard output: %s\n", strerror(errno));
    told = true;
    return false;
}

/* SPDX-License-Identifier: MIT */
#include "screen/large.h"

#include <ctype.h>
#include <langinfo.h>
#include <stdbool.h>
#include <string.h>

enum { GAP = 1 };

/* Rows from the top, all of a letter equally wide. */
static const struct letter {
    char of;
    const char *rows[LARGE_ROWS];
} letters[] = {
    {' ', {"  ", "  ", "  ", "  ", "  "}},
    {'0', {"####", "#  #", "#  #", "#  #", "####"}},
    {'1', {" # ", "## ", " # ", " # ", "###"}},
    {'2', {"####", "   #", "####", "#   ", "####"}},
    {'3', {"####", "   #", " ###", "   #", "####"}},
    {'4', {"#  #", "#  #", "####", "   #", "   #"}},
    {'5', {"####", "#   ", "####", "   #", "####"}},
    {'6', {"####", "#   ", "####", "#  #", "####"}},
    {'7', {"####", "   #", "  # ", " #  ", " #  "}},
    {'8', {"####", "#  #", "####", "#  #", "####"}},
    {'9', {"####", "#  #", "####", "   #", "####"}},
    {'.', {" ", " ", " ", " ", "#"}},
    {',', {" ", " ", " ", "#", "#"}},
    {':', {" ", "#", " ", "#", " "}},
    {'-', {"   ", "   ", "###", "   ", "   "}},
    {'+', {"   ", " # ", "###", " # ", "   "}},
    {'/', {"   #", "  # ", " ## ", " #  ", "#   "}},
    {'A', {" ## ", "#  #", "####", "#  #", "#  #"}},
    {'B', {"### ", "#  #", "### ", "#  #", "### "}},
    {'C', {" ###", "#   ", "#   ", "#   ", " ###"}},
    {'D', {"### ", "#  #", "#  #", "#  #", "### "}},
    {'E', {"####", "#   ", "### ", "#   ", "####"}},
    {'F', {"####", "#   ", "### ", "#   ", "#   "}},
    {'G', {" ###", "#   ", "# ##", "#  #", " ###"}},
    {'H', {"#  #", "#  #", "####", "#  #", "#  #"}},
    {'I', {"###", " # ", " # ", " # ", "###"}},
    {'J', {"  ##", "   #", "   #", "#  #", " ## "}},
    {'K', {"#  #", "# # ", "##  ", "# # ", "#  #"}},
    {'L', {"#   ", "#   ", "#   ", "#   ", "####"}},
    {'M', {"#   #", "## ##", "# # #", "#   #", "#   #"}},
    {'N', {"#  #", "## #", "# ##", "#  #", "#  #"}},
    {'O', {" ## ", "#  #", "#  #", "#  #", " ## "}},
    {'P', {"### ", "#  #", "### ", "#   ", "#   "}},
    {'Q', {" ## ", "#  #", "#  #", "# # ", " # #"}},
    {'R', {"### ", "#  #", "### ", "# # ", "#  #"}},
    {'S', {" ###", "#   ", " ## ", "   #", "### "}},
    {'T', {"#####", "  #  ", "  #  ", "  #  ", "  #  "}},
    {'U', {"#  #", "#  #", "#  #", "#  #", " ## "}},
    {'V', {"#   #", "#   #", " # # ", " # # ", "  #  "}},
    {'W', {"#   #", "#   #", "# # #", "## ##", "#   #"}},
    {'X', {"#   #", " # # ", "  #  ", " # # ", "#   #"}},
    {'Y', {"#   #", " # # ", "  #  ", "  #  ", "  #  "}},
    {'Z', {"####", "  # ", " #  ", "#   ", "####"}},
};

static const struct letter *
letter_of(char of)
{
    int capital = toupper((unsigned char)of);

    for (size_t i = 0; i < sizeof letters / sizeof *letters; i++)
        if (letters[i].of == capital)
            return &letters[i];
    return &letters[0];
}

/* Columns that the first `length` bytes of the text take. */
static int
width_of(const char *text, size_t length)
{
    int width = 0;

    for (size_t i = 0; i < length && text[i]; i++)
        width += (int)strlen(letter_of(text[i])->rows[0]) + GAP;
    return width > 0 ? width - GAP : 0;
}

size_t
large_fit(const char *text, int width)
{
    size_t fits = 0, words = 0;

    while (text[fits] && width_of(text, fits + 1) <= width) {
        if (text[fits] == ' ')
            words = fits;
        fits++;
    }
    return text[fits] && text[fits] != ' ' && words > 0 ? words : fits;
}

/* False where there is no room for it. */
static bool
put(char **to, size_t *size, const char *what)
{
    size_t length = strlen(what);

    if (length >= *size)
        return false;
    memcpy(*to, what, length + 1);
    *to += length;
    *size -= length;
    return true;
}

void
large_row(char *to, size_t size, const char *text, size_t length, int row, const char *block)
{
    *to = '\0';
    for (size_t i = 0; i < length && text[i]; i++) {
        for (const char *dot = letter_of(text[i])->rows[row]; *dot; dot++)
            if (!put(&to, &size, *dot == '#' ? block : " "))
                return;
        if (!put(&to, &size, " "))
            return;
    }
}

const char *
large_block(void)
{
    return strcmp(nl_langinfo(CODESET), "UTF-8") == 0 ? "\xe2\x96\x88" : "#";
}

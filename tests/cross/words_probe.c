/* SPDX-License-Identifier: MIT */
/* Answers for tests/cross/test_words.py: each line as words alone. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "tell/words_only.h"

int
main(void)
{
    char line[4000];

    while (fgets(line, sizeof line, stdin)) {
        char *words;

        line[strcspn(line, "\n")] = '\0';
        words = words_only(line);
        puts(words);
        free(words);
    }
    return 0;
}

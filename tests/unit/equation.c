/* SPDX-License-Identifier: MIT */
#include "equation.h"

#include <ctype.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "check/check.h"
#include "unit.h"

struct reader {
    const char *at, *end;
    bool bad;
    bool rounds; /* something in it cannot be written exactly */
};

static double read_sum(struct reader *reader);

static bool
take(struct reader *reader, const char *word)
{
    const char *at = reader->at;

    while (at < reader->end && *at == ' ')
        at++;
    if (strncmp(at, word, strlen(word)) != 0 || at + strlen(word) > reader->end)
        return false;
    reader->at = at + strlen(word);
    return true;
}

static double
read_inside(struct reader *reader, const char *closes)
{
    double number = read_sum(reader);

    reader->bad |= !take(reader, closes);
    return number;
}

static double
read_base(struct reader *reader)
{
    char *after;
    double number;

    if (take(reader, "-"))
        return -read_base(reader);
    if (take(reader, "("))
        return read_inside(reader, ")");
    if (take(reader, "|"))
        return fabs(read_inside(reader, "|"));
    if (take(reader, "log10(")) {
        reader->rounds = true;
        return log10(read_inside(reader, ")"));
    }
    if (take(reader, "log2(")) {
        reader->rounds = true;
        return log2(read_inside(reader, ")"));
    }
    take(reader, "");
    if (reader->at >= reader->end || !isdigit((unsigned char)*reader->at)) {
        reader->bad = true;
        return NAN;
    }
    number = strtod(reader->at, &after);
    reader->at = after;
    return number;
}

static double
read_power(struct reader *reader)
{
    double base = read_base(reader);

    if (!take(reader, "^"))
        return base;
    reader->rounds = true;
    return pow(base, read_power(reader));
}

static double
read_product(struct reader *reader)
{
    double number = read_power(reader);

    while (!reader->bad) {
        const char *at = reader->at;

        if (take(reader, "log")) {
            reader->at = at;
            number *= read_power(reader);
        } else if (take(reader, "x ")) {
            number *= read_power(reader);
        } else if (take(reader, "/")) {
            reader->rounds = true;
            number /= read_power(reader);
        } else {
            break;
        }
    }
    return number;
}

static double
read_sum(struct reader *reader)
{
    double number = read_product(reader);

    while (!reader->bad) {
        if (take(reader, "+ "))
            number += read_product(reader);
        else if (take(reader, "- "))
            number -= read_product(reader);
        else
            break;
    }
    return number;
}

double
equation_left(const char *text, const char *end, bool *rounds)
{
    for (const char *start = text; start < end; start++) {
        struct reader reader = {start, end, false, false};
        double number;

        if (start > text && start[-1] != ' ' && start[-1] != '(')
            continue;
        number = read_sum(&reader);
        if (reader.bad || reader.at != end)
            continue;
        *rounds = reader.rounds;
        return number;
    }
    return NAN;
}

int
equation_check(const char *what, const char *text)
{
    int count = 0;

    for (const char *at = strstr(text, " = "); at; at = strstr(at + 3, " = ")) {
        bool rounds = false;
        double left = equation_left(text, at, &rounds), right = strtod(at + 3, NULL);

        /* Levels are written so that they add up; a root or logarithm to half a last decimal,
         * of frequencies that were rounded themselves. */
        if (!(fabs(left - right) <= (rounds ? 0.0501 + fabs(right) / 10000 : 1e-9))) {
            print_error("%s: %g is written as %g in: %s\n", what, left, right, text);
            fail();
        }
        count++;
    }
    return count;
}

/* Numbers are written to a tenth; a hundredth of a Hz moves the steepest filter by 0.015 dB. */
bool
equation_results_in(const char *text, double number)
{
    for (const char *at = strstr(text, " = "); at; at = strstr(at + 3, " = "))
        if (fabs(strtod(at + 3, NULL) - number) <= 0.065)
            return true;
    return false;
}

void
equation_work(int check, const struct verdict *verdict, char buffer[TEACH_SIZE])
{
    struct text text;

    text_init(&text, buffer, TEACH_SIZE);
    assert_row(check_name(check), teach_work(&text, check_set_all.of[check], verdict), true);
    assert_row(check_name(check), strlen(buffer) > 40, true);
    assert_row(check_name(check), strlen(buffer) < TEACH_SIZE - 1, true);
    assert_row(check_name(check), strstr(buffer, "...") == NULL, true);
}

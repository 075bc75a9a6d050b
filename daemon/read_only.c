#include "read_only.h"

#include <ctype.h>
#include <stdlib.h>
#include <string.h>

/* An address as symbols: a character, DIGITS (one or more), or ANYTHING (nothing or more). */
enum { SYMBOL_DIGITS = 256, SYMBOL_ANYTHING = 257, SYMBOLS = 256 };

struct symbols {
    int at[SYMBOLS];
    int count;
};

static void
add_symbol(struct symbols *symbols, int symbol)
{
    if (symbols->count < SYMBOLS)
        symbols->at[symbols->count++] = symbol;
    else
        symbols->at[SYMBOLS - 1] = SYMBOL_ANYTHING; /* too long to tell: take the worst */
}

/* From the first bracket or brace to the next '/' the address may be anything: servers read odd
 * bracketing in more than one way, and an index may stand inside. `inside` says that such a part
 * has begun. */
static void
add_text(struct symbols *symbols, const char *text, bool *inside)
{
    for (; *text; text++) {
        bool deep = text[0] == '/' && text[1] == '/';

        *inside = *text == '/' ? false : *inside || strchr("[]{}", *text);
        if (*inside || deep || strchr("*?", *text))
            add_symbol(symbols, SYMBOL_ANYTHING);
        else
            add_symbol(symbols, tolower((unsigned char)*text));
    }
}

static void
symbols_of(struct symbols *symbols, const struct pattern *pattern)
{
    bool inside = false;

    symbols->count = 0;
    for (size_t i = 0; i < pattern->pieces; i++) {
        const char *text = pattern->address[i].text;

        if (text) /* a desk may read an address with and without its first '/' alike */
            add_text(symbols, i == 0 && text[0] == '/' && text[1] != '/' ? text + 1 : text,
                     &inside);
        else
            add_symbol(symbols, inside ? SYMBOL_ANYTHING : SYMBOL_DIGITS);
    }
}

/* Both addresses at once, from a place in each. `more` says that a run of digits has begun, so that
 * it may also end here. Each combination is looked at once. */
struct meeting {
    struct symbols one, other;
    unsigned char seen[SYMBOLS + 1][SYMBOLS + 1][2][2];
};

static bool meet(struct meeting *m, int i, bool more_i, int j, bool more_j);

/* One character of both sides, or false when they cannot share one. */
static bool
step(struct meeting *m, int i, int j)
{
    int a = m->one.at[i], b = m->other.at[j];

    if (a == SYMBOL_DIGITS && b == SYMBOL_DIGITS)
        return meet(m, i, true, j, true);
    if (a == SYMBOL_DIGITS)
        return isdigit(b) && meet(m, i, true, j + 1, false);
    if (b == SYMBOL_DIGITS)
        return isdigit(a) && meet(m, i + 1, false, j, true);
    return a == b && meet(m, i + 1, false, j + 1, false);
}

static bool
meet(struct meeting *m, int i, bool more_i, int j, bool more_j)
{
    bool end_i = i == m->one.count, end_j = j == m->other.count;

    if (m->seen[i][j][more_i][more_j])
        return false;
    m->seen[i][j][more_i][more_j] = 1;
    if (end_i && end_j)
        return true;
    if (more_i && meet(m, i + 1, false, j, more_j))
        return true;
    if (more_j && meet(m, i, more_i, j + 1, false))
        return true;
    if (!end_i && m->one.at[i] == SYMBOL_ANYTHING)
        return meet(m, i + 1, false, j, more_j) || (!end_j && meet(m, i, false, j + 1, false));
    if (!end_j && m->other.at[j] == SYMBOL_ANYTHING)
        return meet(m, i, more_i, j + 1, false) || (!end_i && meet(m, i + 1, false, j, false));
    return !end_i && !end_j && step(m, i, j);
}

bool
read_only_may_meet(const struct pattern *one, const struct pattern *other)
{
    struct meeting *m = calloc(1, sizeof *m);
    bool met;

    if (!m)
        abort();
    symbols_of(&m->one, one);
    symbols_of(&m->other, other);
    met = meet(m, 0, false, 0, false);
    free(m);
    return met;
}

/* The entry whose answer uses the address, or -1. */
static int
answered_by(const struct profile *profile, const struct pattern *sent)
{
    for (size_t i = 0; i < profile->entry_count; i++)
        if (read_only_may_meet(sent, &profile->entries[i].answer))
            return (int)i;
    return -1;
}

void
read_only_check(const struct profile *profile, const struct where *file)
{
    struct where values = where_key(file, "values");
    struct where renew = where_key(file, "renew");

    for (size_t i = 0; i < profile->entry_count; i++) {
        const struct entry *entry = &profile->entries[i];
        struct where element = where_index(&values, (int)i);
        struct where here = where_key(&element, "ask");
        int other;

        if (!entry->asks || entry->ask.count == 0 || entry->this_only_asks)
            continue;
        other = answered_by(profile, &entry->ask);
        if (other >= 0)
            where_problem(&here,
                          "carries an argument to an address that values[%d] answers from; on many "
                          "desks that is a move. If this desk only answers it, say "
                          "\"this_only_asks\": true",
                          other);
    }
    for (size_t i = 0; i < profile->renewal_count; i++) {
        struct where here = where_index(&renew, (int)i);
        int other = profile->renewals[i].send.count > 0
                        ? answered_by(profile, &profile->renewals[i].send)
                        : -1;

        if (other >= 0)
            where_problem(
                &here,
                "carries an argument to an address that values[%d] answers from; a renewal "
                "may not be a move",
                other);
    }
}

/* SPDX-License-Identifier: MIT */
#include "profile/read_address.h"

#include <assert.h>
#include <ctype.h>
#include <string.h>

/* Besides characters: INDEX where a number is put in, ANYTHING where a name is. */
enum { INDEX = 256, ANYTHING = 257, TOKENS = ADDRESS_TOKENS };

static void
add_token(struct tokens *tokens, int token)
{
    assert(tokens->count < TOKENS); /* an address is shorter, ADDRESS_LIMIT */
    tokens->at[tokens->count++] = token;
    tokens->at[tokens->count] = 0;
}

static void
add_text(struct tokens *tokens, const char *text)
{
    for (; *text; text++)
        add_token(tokens, tolower((unsigned char)*text));
}

struct tokens
tokens_of_text(const char *text)
{
    struct tokens tokens = {.count = 0};

    add_text(&tokens, text);
    return tokens;
}

struct tokens
tokens_of(const struct pattern *pattern, const struct entry *entry)
{
    struct tokens tokens = {.count = 0};

    for (size_t i = 0; i < pattern->pieces; i++) {
        const struct piece *piece = &pattern->address[i];

        if (piece->text)
            add_text(&tokens, piece->text);
        else
            add_token(&tokens, entry->variables[piece->variable].names ? ANYTHING : INDEX);
    }
    return tokens;
}

static bool
is_digit(int token)
{
    return token == INDEX || (token >= '0' && token <= '9');
}

static bool
begins_segment(const struct tokens *tokens, int i)
{
    return i == 0 || tokens->at[i - 1] == '/';
}

static bool
ends_segment(int token)
{
    return token == '/' || token == 0;
}

/* ---- what can be read in more than one way ---- */

/* How many dots the segment that begins at `at` is made of; 0: it holds something else. */
static int
dots_of_segment(const int *at)
{
    int dots = 0;

    while (at[dots] == '.')
        dots++;
    return ends_segment(at[dots]) ? dots : 0;
}

/* A '-' between letters or digits joins a name. */
static bool
is_sign(const struct tokens *tokens, int i)
{
    int before = i > 0 ? tokens->at[i - 1] : '/';
    bool joins = is_digit(before) || (before < INDEX && isalpha(before));

    return is_digit(tokens->at[i + 1]) &&
           (tokens->at[i] == '+' || (tokens->at[i] == '-' && !joins));
}

/* A comma outside braces begins the type tags for whoever looks for the first one. */
static bool
is_loose_comma(const struct tokens *tokens, int i)
{
    int depth = 0;

    for (int k = 0; tokens->at[i] == ',' && k < i; k++)
        depth += (tokens->at[k] == '{') - (tokens->at[k] == '}');
    return tokens->at[i] == ',' && depth <= 0;
}

/* What makes the address ambiguous at this place, or NULL. */
static const char *
ambiguous_at(const struct tokens *tokens, int i)
{
    if (tokens->at[i] == '/' && (i > 0 ? ends_segment(tokens->at[i + 1]) : tokens->at[1] == '/'))
        return "an empty segment";
    if (begins_segment(tokens, i) && dots_of_segment(tokens->at + i) > 0)
        return "a segment of dots";
    if (tokens->at[i] == '%' || tokens->at[i] == '\\')
        return tokens->at[i] == '%' ? "a '%'" : "a '\\'";
    if (is_sign(tokens, i))
        return "a sign before a number";
    return is_loose_comma(tokens, i) ? "a ','" : NULL;
}

const char *
tokens_ambiguous(const struct tokens *tokens)
{
    const char *what = NULL;

    for (int i = 0; i < tokens->count && !what; i++)
        what = ambiguous_at(tokens, i);
    return what;
}

/* ---- what it comes to ---- */

/* With any of these it may be every address: servers unescape, and go up, in more than one way. */
static bool
may_be_any(const struct tokens *tokens)
{
    for (int i = 0; i < tokens->count; i++)
        if (strchr("%\\", tokens->at[i] < INDEX ? tokens->at[i] : '/') ||
            (begins_segment(tokens, i) && dots_of_segment(tokens->at + i) > 1) ||
            is_loose_comma(tokens, i))
            return true;
    return false;
}

static bool
is_wild(int token)
{
    return token != 0 && token < INDEX && strchr("*?[]{}", token);
}

static bool
may_be_digit(int token)
{
    return is_digit(token) || is_wild(token) || token == ANYTHING;
}

/* Signs and zeros before a number, or before what may be one. */
static bool
is_idle(const struct tokens *tokens, int i)
{
    const int *at = tokens->at;
    int begin = i, end = i;

    if (at[i] == '0') {
        while (begin > 0 && at[begin - 1] == '0')
            begin--;
        return may_be_digit(at[i + 1]) && (begin == 0 || !is_digit(at[begin - 1]));
    }
    while (at[end] == '+' || at[end] == '-')
        end++;
    return end > i && may_be_digit(at[end]);
}

/* How many tokens are the point behind a number and what stands behind it, which many do not read.
 */
static int
fraction_length(const struct tokens *tokens, int i)
{
    int length = 0, before = i > 0 ? tokens->at[i - 1] : 0;

    if (tokens->at[i] == '.' && (is_digit(before) || before == ANYTHING))
        while (tokens->at[i + length] == '.' || is_digit(tokens->at[i + length]))
            length++;
    return length;
}

/* Steps over empty segments and those of one dot at the end, and the first '/'. */
static void
trim(struct tokens *tokens)
{
    int *at = tokens->at;

    while (tokens->count > 0 &&
           (at[tokens->count - 1] == '/' ||
            (at[tokens->count - 1] == '.' && (tokens->count == 1 || at[tokens->count - 2] == '/'))))
        at[--tokens->count] = 0;
    if (tokens->count > 1 && at[0] == '/' && at[1] != '/') {
        memmove(at, at + 1, (size_t)tokens->count * sizeof *at);
        tokens->count--;
    }
}

/* From the first bracket or brace to the next '/' the address may be anything: servers read odd
 * bracketing in more than one way, and an index may stand inside. OSC 1.1 reads "//" as any depth.
 */
struct tokens
tokens_plain(struct tokens tokens)
{
    struct tokens to = {.count = 0};
    bool inside = false;

    if (may_be_any(&tokens)) {
        add_token(&to, ANYTHING);
        return to;
    }
    trim(&tokens);
    for (int i = 0; i < tokens.count; i++) {
        int token = tokens.at[i];
        bool begins = begins_segment(&tokens, i);
        int fraction = fraction_length(&tokens, i);

        inside = token != '/' && (inside || (is_wild(token) && !strchr("*?", token)));
        if (inside || is_wild(token) || fraction > 0 || (begins && token == '/'))
            token = ANYTHING;
        i += fraction > 0 ? fraction - 1 : 0;
        if (token == ANYTHING)
            add_token(&to, ANYTHING);
        else if (begins && token == '.' && tokens.at[i + 1] == '/')
            i++; /* this folder */
        else if (!is_idle(&tokens, i))
            add_token(&to, token);
    }
    return to;
}

/* ---- whether two come to the same ---- */

/* Both addresses at once, from a place in each. `more` says that a number has begun, so that it may
 * also end here. Each combination is looked at once. */
struct meeting {
    const struct tokens *one, *other; /* plain */
    long steps;
    unsigned char seen[(TOKENS + 1) * (TOKENS + 1)]; /* a bit for each way of `more` */
};

static bool meet(struct meeting *m, int i, bool more_i, int j, bool more_j);

/* A slash and what may be nothing: the slash at the end of an address does not count. */
static bool
is_empty_end(const struct tokens *tokens, int i)
{
    int end = tokens->at[i] == '/' ? i + 1 : i;

    while (tokens->at[end] == ANYTHING)
        end++;
    return end == tokens->count;
}

/* One character of both sides, or false when they cannot share one. */
static bool
step(struct meeting *m, int i, int j)
{
    int a = m->one->at[i], b = m->other->at[j];

    if (a == INDEX && b == INDEX)
        return meet(m, i, true, j, true);
    if (a == INDEX)
        return is_digit(b) && meet(m, i, true, j + 1, false);
    if (b == INDEX)
        return is_digit(a) && meet(m, i + 1, false, j, true);
    return a == b && meet(m, i + 1, false, j + 1, false);
}

static bool
meet(struct meeting *m, int i, bool more_i, int j, bool more_j)
{
    unsigned char *seen = &m->seen[i * (m->other->count + 1) + j];
    unsigned char bit = (unsigned char)(1 << (2 * more_i + more_j));
    bool end_i = i == m->one->count, end_j = j == m->other->count;

    if (*seen & bit)
        return false;
    *seen |= bit;
    m->steps++;
    if ((end_i && is_empty_end(m->other, j)) || (end_j && is_empty_end(m->one, i)))
        return true;
    if (more_i && meet(m, i + 1, false, j, more_j))
        return true;
    if (more_j && meet(m, i, more_i, j + 1, false))
        return true;
    if (!end_i && m->one->at[i] == ANYTHING)
        return meet(m, i + 1, false, j, more_j) || (!end_j && meet(m, i, false, j + 1, false));
    if (!end_j && m->other->at[j] == ANYTHING)
        return meet(m, i, more_i, j + 1, false) || (!end_i && meet(m, i + 1, false, j, false));
    return !end_i && !end_j && step(m, i, j);
}

bool
tokens_may_meet(const struct tokens *one, const struct tokens *other, long *steps)
{
    struct meeting m;
    bool may;

    m.one = one;
    m.other = other;
    m.steps = 0;
    memset(m.seen, 0, (size_t)((one->count + 1) * (other->count + 1)));
    may = meet(&m, 0, false, 0, false);
    *steps += m.steps;
    return may;
}

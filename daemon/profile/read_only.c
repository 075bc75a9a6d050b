/* SPDX-License-Identifier: MIT */
#include "profile/read_only.h"

#include <assert.h>
#include <ctype.h>
#include <stdlib.h>
#include <string.h>

#include "core/need.h"

/* An address as tokens: its characters in lower case, and INDEX where a number is put in. */
enum { INDEX = 256, ANYTHING = 257, TOKENS = 256 };

struct tokens {
    int at[TOKENS + 1]; /* 0 behind the last */
    int count;
};

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

static struct tokens
tokens_of_text(const char *text)
{
    struct tokens tokens = {.count = 0};

    add_text(&tokens, text);
    return tokens;
}

static struct tokens
tokens_of(const struct pattern *pattern)
{
    struct tokens tokens = {.count = 0};

    for (size_t i = 0; i < pattern->pieces; i++)
        if (pattern->address[i].text)
            add_text(&tokens, pattern->address[i].text);
        else
            add_token(&tokens, INDEX);
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

    for (int k = 0; k < i; k++)
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

static const char *
ambiguous(const struct tokens *tokens)
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
    return is_digit(token) || is_wild(token);
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
    int length = 0;

    if (tokens->at[i] == '.' && i > 0 && is_digit(tokens->at[i - 1]))
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
static struct tokens
plain(struct tokens tokens)
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

/* Of two that are plain; adds to `steps` how long that took. */
static bool
may_meet(const struct tokens *one, const struct tokens *other, long *steps)
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

static bool
any_may_meet(struct tokens one, struct tokens other)
{
    struct tokens here = plain(one), there = plain(other);
    long steps = 0;

    return may_meet(&here, &there, &steps);
}

bool
read_only_may_meet(const struct pattern *one, const struct pattern *other)
{
    return any_may_meet(tokens_of(one), tokens_of(other));
}

bool
read_only_may_be(const char *address, const struct pattern *pattern)
{
    return any_may_meet(tokens_of_text(address), tokens_of(pattern));
}

const char *
read_only_ambiguous(const char *address)
{
    struct tokens tokens = tokens_of_text(address);

    return ambiguous(&tokens);
}

/* ---- a profile ---- */

static bool
is_same_address(const struct pattern *one, const struct pattern *other)
{
    if (one->pieces != other->pieces)
        return false;
    for (size_t i = 0; i < one->pieces; i++) {
        const struct piece *a = &one->address[i], *b = &other->address[i];

        if (!a->text != !b->text || (a->text ? strcmp(a->text, b->text) != 0
                                             : a->variable != b->variable || a->width != b->width))
            return false;
    }
    return true;
}

bool
read_only_is_listed(const struct entry *entry)
{
    return entry->asks && (entry->ask.count > 0 || !is_same_address(&entry->ask, &entry->answer));
}

/* What a profile's messages are compared with. */
struct answers {
    struct tokens *of; /* each entry's, plain; owned */
    size_t count;
    long steps; /* that were taken */
};

/* About a second's. A watch that reads its profile anew must not be away for longer. */
static const long steps_most = 50000000;

static struct answers
answers_of(const struct profile *profile)
{
    struct answers answers = {.count = profile->entry_count};

    answers.of = need_memory(answers.count + 1, sizeof *answers.of);
    for (size_t i = 0; i < answers.count; i++)
        answers.of[i] = plain(tokens_of(&profile->entries[i].answer));
    return answers;
}

/* The entry whose answer uses the address, or -1. */
static int
answered_by(struct answers *answers, const struct tokens *sent)
{
    struct tokens address = plain(*sent);

    for (size_t i = 0; i < answers->count && answers->steps <= steps_most; i++)
        if (may_meet(&address, &answers->of[i], &answers->steps))
            return (int)i;
    return -1;
}

static bool
carries_more_than_indexes(const struct pattern *sent)
{
    for (size_t i = 0; i < sent->count; i++)
        if (sent->elements[i].kind != ELEMENT_INDEX)
            return true;
    return false;
}

#define UNLESS                                                                                     \
    "; on many desks that is a move. If this desk only answers it, say \"this_only_asks\": true"

static void
check_message(struct answers *answers, const struct pattern *sent, bool only_asks,
              const struct where *where)
{
    struct tokens tokens = tokens_of(sent);
    const char *odd = sent->count > 0 ? ambiguous(&tokens) : NULL;
    int other = odd || only_asks ? -1 : answered_by(answers, &tokens);

    if (odd)
        where_problem(where,
                      "carries an argument to an address with %s, which a desk may read as another "
                      "address; only a plain one is sent arguments",
                      odd);
    else if (other >= 0)
        where_problem(where, "%s an address that values[%d] answers from" UNLESS,
                      sent->count > 0 ? "carries an argument to" : "may reach", other);
    else if (!only_asks && carries_more_than_indexes(sent))
        where_problem(where, "carries more than indexes" UNLESS);
}

/* A list that nobody can read is agreed to by nobody. */
static bool
is_readable(const struct profile *profile, const struct where *file)
{
    size_t listed = profile->renewal_count;

    for (size_t i = 0; i < profile->entry_count; i++)
        listed += profile->entries[i].listed;
    if (listed > READ_ONLY_LISTED_MOST)
        where_problem(file,
                      "%zu messages would have to be agreed to, at most %d can be; an {index} "
                      "stands for many",
                      listed, READ_ONLY_LISTED_MOST);
    return listed <= READ_ONLY_LISTED_MOST;
}

static void
check_messages(const struct profile *profile, struct answers *answers, const struct where *file)
{
    struct where values = where_key(file, "values");
    struct where renew = where_key(file, "renew");

    for (size_t i = 0; i < profile->entry_count; i++) {
        const struct entry *entry = &profile->entries[i];
        struct where element = where_index(&values, (int)i);
        struct where here = where_key(&element, "ask");

        if (entry->listed)
            check_message(answers, &entry->ask, entry->this_only_asks, &here);
    }
    for (size_t i = 0; i < profile->renewal_count; i++) {
        const struct renewal *renewal = &profile->renewals[i];
        struct where element = where_index(&renew, (int)i);
        struct where here = where_key(&element, "send");

        check_message(answers, &renewal->send, renewal->this_only_asks, &here);
    }
}

void
read_only_check(const struct profile *profile, const struct where *file)
{
    struct answers answers;

    if (!is_readable(profile, file))
        return;
    answers = answers_of(profile);
    check_messages(profile, &answers, file);
    if (answers.steps > steps_most)
        where_problem(file, "has too many addresses to tell those that are sent from those that "
                            "answer; an {index} stands for many");
    free(answers.of);
}

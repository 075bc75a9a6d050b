/* SPDX-License-Identifier: MIT */
#include "profile/read_only.h"

#include <stdlib.h>
#include <string.h>

#include "core/need.h"
#include "profile/read_address.h"

static bool
any_may_meet(struct tokens one, struct tokens other)
{
    struct tokens here = tokens_plain(one), there = tokens_plain(other);
    long steps = 0;

    return tokens_may_meet(&here, &there, &steps);
}

bool
read_only_may_meet(const struct pattern *one, const struct pattern *other,
                   const struct entry *entry)
{
    return any_may_meet(tokens_of(one, entry), tokens_of(other, entry));
}

bool
read_only_may_be(const char *address, const struct pattern *pattern, const struct entry *entry)
{
    return any_may_meet(tokens_of_text(address), tokens_of(pattern, entry));
}

const char *
read_only_ambiguous(const char *address)
{
    struct tokens tokens = tokens_of_text(address);

    return tokens_ambiguous(&tokens);
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
    const struct profile *profile;
    struct tokens *of; /* each entry's, plain; owned */
    size_t count;
    long steps; /* that were taken */
};

/* About a second's. A watch that reads its profile anew must not be away for longer. */
static const long steps_most = 50000000;

static struct answers
answers_of(const struct profile *profile)
{
    struct answers answers = {profile, .count = profile->entry_count};

    answers.of = need_memory(answers.count + 1, sizeof *answers.of);
    for (size_t i = 0; i < answers.count; i++)
        answers.of[i] = tokens_plain(tokens_of(&profile->entries[i].answer, &profile->entries[i]));
    return answers;
}

/* The entry whose answer uses the address, or -1. */
static int
answered_by(struct answers *answers, const struct tokens *sent)
{
    struct tokens address = tokens_plain(*sent);

    for (size_t i = 0; i < answers->count && answers->steps <= steps_most; i++)
        if (tokens_may_meet(&address, &answers->of[i], &answers->steps))
            return (int)i;
    return -1;
}

/* A name may say anything, as a text may that an index stands in. */
static bool
carries_more_than_indexes(const struct pattern *sent, const struct entry *entry)
{
    for (size_t i = 0; i < sent->count; i++)
        if (sent->elements[i].kind != ELEMENT_INDEX ||
            entry->variables[sent->elements[i].variable].names)
            return true;
    return false;
}

#define UNLESS                                                                                     \
    "; on many desks that is a move. If this desk only answers it, say \"this_only_asks\": true"

/* What makes one of the addresses ambiguous that the pattern sends arguments to, or NULL. Names are
 * looked at where they stand, one by one. */
static const char *
any_ambiguous(struct answers *answers, const struct pattern *sent, const struct entry *entry)
{
    struct tokens tokens = tokens_of(sent, entry);
    const char *odd = NULL;
    bool named = false;

    for (int i = 0; i < entry->asked_count; i++)
        named |= entry->variables[i].names != NULL;
    if (!named)
        return tokens_ambiguous(&tokens);
    for (size_t place = 0, places = entry_places(answers->profile, entry, entry->asked_count);
         place < places && !odd && answers->steps <= steps_most; place++) {
        int indexes[ENTRY_VARIABLES] = {0};
        char address[ADDRESS_TOKENS + 1];

        entry_indexes(answers->profile, entry, entry->asked_count, place, indexes);
        pattern_address(sent, entry, indexes, address, sizeof address);
        tokens = tokens_of_text(address);
        answers->steps += tokens.count;
        odd = tokens_ambiguous(&tokens);
    }
    return odd;
}

/* A message of the entry, or a renewal, which has no indexes. */
static void
check_message(struct answers *answers, const struct pattern *sent, const struct entry *entry,
              bool only_asks, const struct where *where)
{
    struct tokens tokens = tokens_of(sent, entry);
    const char *odd = sent->count > 0 ? any_ambiguous(answers, sent, entry) : NULL;
    int other = odd || only_asks ? -1 : answered_by(answers, &tokens);

    if (odd)
        where_problem(where,
                      "carries an argument to an address with %s, which a desk may read as another "
                      "address; only a plain one is sent arguments",
                      odd);
    else if (other >= 0)
        where_problem(where, "%s an address that values[%d] answers from" UNLESS,
                      sent->count > 0 ? "carries an argument to" : "may reach", other);
    else if (!only_asks && carries_more_than_indexes(sent, entry))
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
    static const struct entry none = {0};
    struct where values = where_key(file, "values");
    struct where renew = where_key(file, "renew");

    for (size_t i = 0; i < profile->entry_count; i++) {
        const struct entry *entry = &profile->entries[i];
        struct where element = where_index(&values, (int)i);
        struct where here = where_key(&element, "ask");

        if (entry->listed)
            check_message(answers, &entry->ask, entry, entry->this_only_asks, &here);
    }
    for (size_t i = 0; i < profile->renewal_count; i++) {
        const struct renewal *renewal = &profile->renewals[i];
        struct where element = where_index(&renew, (int)i);
        struct where here = where_key(&element, "send");

        check_message(answers, &renewal->send, &none, renewal->this_only_asks, &here);
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

/* SPDX-License-Identifier: MIT */
/* Bytes as a profile. It loads or its problems are told, never both; and one that loads can be put
 * to work: printed, asked from, answered, and judged with every control at either end.
 */
#include <assert.h>
#include <stdlib.h>
#include <string.h>

#include "advice/plan.h"
#include "answer.h"
#include "fuzz.h"
#include "link/questions.h"
#include "link/router.h"
#include "osc/check.h"
#include "osc/osc.h"
#include "profile/overlap.h"
#include "profile/sending.h"
#include "profile/wording.h"
#include "rig.h"

/* Under the sanitizers the largest profiles take seconds to be put to work, and a desk of 512
 * inputs and mixes more to be judged; they are loaded, and smaller ones tell as much. */
enum {
    ROUNDS = 20,
    ASKED = 40,
    WORKED_PLACES = ROUTE_LIMIT / 4,
    JUDGED_PATHS = 1024,
    ADDRESS_SIZE = 400
};

struct work {
    const struct profile *profile;
    struct engine *engine;
    struct router *router;
    struct questions *questions;
    int64_t now_us;
    size_t entry, place; /* the answer that must come home */
    bool came_home;
    size_t other; /* an entry that must take it, too */
    bool other_took;
};

int
LLVMFuzzerInitialize(int *argc, char ***argv)
{
    (void)argc;
    (void)argv;
    return 0;
}

static void
print_everything(const struct profile *profile)
{
    static const struct entry none = {0};

    for (size_t i = 0; i < profile->entry_count; i++) {
        pattern_print(&profile->entries[i].ask, &profile->entries[i], rig_nowhere());
        pattern_print(&profile->entries[i].answer, &profile->entries[i], rig_nowhere());
    }
    for (size_t i = 0; i < profile->renewal_count; i++)
        pattern_print(&profile->renewals[i].send, &none, rig_nowhere());
}

/* How many messages the profile stands for, which bounds the memory and time it can cost. */
static size_t
check_size(const struct profile *profile)
{
    size_t places = 0;

    for (size_t i = 0; i < profile->entry_count; i++)
        places += entry_places(profile, &profile->entries[i], profile->entries[i].variable_count);
    assert(places > 0 && places <= ROUTE_LIMIT);
    return places;
}

/* ---- the list ---- */

/* The pattern as the list prints it, to free(). */
static char *
printed(const struct pattern *pattern, const struct entry *entry)
{
    char *text = NULL;
    size_t size;
    FILE *to = open_memstream(&text, &size);

    assert(to);
    pattern_print(pattern, entry, to);
    assert(fclose(to) == 0);
    return text;
}

static bool
is_on_list(const struct sending *sending, const struct pattern *pattern, const struct entry *entry)
{
    char *text = printed(pattern, entry);
    size_t length = strlen(text);
    bool found = false;

    for (size_t i = 0; i < sending->count; i++)
        found |= strncmp(sending->rows[i], text, length) == 0 && sending->rows[i][length] == ',';
    free(text);
    return found;
}

/* Whether the question is bare and goes where its answer comes from, seen from what goes out. */
static bool
needs_nothing(const struct profile *profile, const struct entry *entry)
{
    size_t places = entry_places(profile, entry, entry->variable_count);

    for (int end = 0; end < 2; end++) {
        int indexes[ENTRY_VARIABLES] = {0};
        char ask[ADDRESS_SIZE], answer[ADDRESS_SIZE];

        entry_indexes(profile, entry, entry->variable_count, end ? places - 1 : 0, indexes);
        pattern_address(&entry->ask, entry, indexes, ask, sizeof ask);
        pattern_address(&entry->answer, entry, indexes, answer, sizeof answer);
        if (strcmp(ask, answer) != 0)
            return false;
    }
    return entry->ask.count == 0;
}

/* Nothing that carries arguments, is answered elsewhere or is renewed can be sent without being on
 * the list; and a profile that was only read is agreed to by nobody. */
static void
check_list(const struct profile *profile)
{
    static const struct entry none = {0};
    struct sending sending;

    sending_of(profile, &sending);
    assert(!profile->agreed);
    for (size_t i = 0; i < profile->entry_count; i++) {
        const struct entry *entry = &profile->entries[i];

        if (entry->asks && !needs_nothing(profile, entry))
            assert(entry->listed && is_on_list(&sending, &entry->ask, entry));
    }
    for (size_t i = 0; i < profile->renewal_count; i++) {
        assert(is_on_list(&sending, &profile->renewals[i].send, &none));
        assert(profile->renewals[i].every_s >= RENEWAL_LEAST_S);
    }
    sending_release(&sending);
}

/* ---- messages ---- */

/* A question or a renewal as it goes over the wire: what a desk can read. */
static void
check_sent(const struct profile *profile, const struct pattern *pattern, const struct entry *entry,
           const int indexes[ENTRY_VARIABLES])
{
    const struct osc_forms forms = {.untyped = profile->link.untagged, .bare = true};
    struct argument arguments[OSC_ARGUMENTS];
    char address[ADDRESS_SIZE];
    uint8_t *bytes;
    size_t length;

    assert(pattern->count <= OSC_ARGUMENTS);
    for (size_t i = 0; i < pattern->count; i++) {
        const struct element *element = &pattern->elements[i];

        assert(element->kind == ELEMENT_LITERAL || element->kind == ELEMENT_INDEX ||
               element->kind == ELEMENT_WORDING ||
               (element->kind == ELEMENT_ECHO && entry->echo > 0));
    }
    wording_arguments(profile, pattern, entry, indexes, arguments);
    assert(pattern_address(pattern, entry, indexes, address, sizeof address) < sizeof address);
    for (const char *at = address; *at; at++)
        assert(*at > ' ' && *at <= '~');
    bytes = osc_encode(address, arguments, pattern->count, !profile->link.untagged, &length);
    assert(bytes && osc_check_message(bytes, length, forms) == OSC_OK);
    free(bytes);
    wording_free_arguments(pattern, arguments);
}

/* ---- asking and answering ---- */

static void
on_answer(void *context, size_t entry, size_t place)
{
    struct work *work = context;

    assert(entry < work->profile->entry_count);
    questions_answered(work->questions, entry, place, work->now_us);
    work->came_home |= entry == work->entry && place == work->place;
    work->other_took |= entry == work->other;
}

/* An answer that the entry waits for must come home to the entry and place it is for. False: there
 * can be none. */
static bool
answer(struct work *work, size_t number, size_t place)
{
    const struct entry *entry = &work->profile->entries[number];
    int indexes[ENTRY_VARIABLES] = {0};
    struct osc_message message;
    uint8_t *bytes;
    size_t length;

    entry_indexes(work->profile, entry, entry->variable_count, place, indexes);
    assert(entry_place(work->profile, entry, entry->variable_count, indexes) == place);
    bytes = answer_make(work->profile, entry, indexes, &length);
    if (!bytes)
        return false;
    work->entry = number;
    work->place = place;
    work->came_home = work->other_took = false;
    assert(osc_check_message(bytes, length, work->profile->forms) == OSC_OK);
    assert(osc_decode(&message, bytes, length));
    router_take(work->router, &message, work->now_us / 1000);
    assert(work->came_home);
    free(bytes);
    return true;
}

/* What is told of entries that share messages is so. */
static void
on_overlap(void *context, const struct overlap *overlap)
{
    struct work *work = context;

    assert(overlap->entry < work->profile->entry_count && overlap->other <= overlap->entry);
    work->other = overlap->other;
    if (!answer(work, overlap->entry, 0))
        return;
    assert(overlap->kind != OVERLAP_NEVER);
    assert(overlap->kind != OVERLAP_COVERED || work->other_took);
}

static void
ask(struct work *work, size_t number, size_t place)
{
    const struct entry *entry = &work->profile->entries[number];
    int indexes[ENTRY_VARIABLES] = {0};

    entry_indexes(work->profile, entry, entry->asked_count, place, indexes);
    check_sent(work->profile, &entry->ask, entry, indexes);
}

static void
renew(const struct work *work)
{
    static const struct entry none = {0};
    static const int indexes[ENTRY_VARIABLES] = {0};

    for (size_t i = 0; i < work->profile->renewal_count; i++)
        check_sent(work->profile, &work->profile->renewals[i].send, &none, indexes);
}

/* Puts what may be put now; every other question is answered, by its first answer. */
static void
hold_round(struct work *work)
{
    const struct profile *profile = work->profile;
    size_t entry, place, count = 0;

    questions_expire(work->questions, work->now_us);
    while (count < ASKED && questions_next(work->questions, work->now_us, &entry, &place)) {
        const struct entry *asked = &profile->entries[entry];
        size_t answers = entry_places(profile, asked, asked->variable_count) /
                         entry_places(profile, asked, asked->asked_count);

        ask(work, entry, place);
        work->now_us += 700;
        if (count++ % 2 == 0)
            answer(work, entry, place * answers);
    }
}

static void
hold_conversation(struct work *work)
{
    const struct profile *profile = work->profile;

    questions_begin(work->questions, work->now_us, profile->pace.per_second);
    for (int round = 0; round < ROUNDS; round++) {
        int64_t wait_us;

        hold_round(work);
        wait_us = questions_wait_us(work->questions, work->now_us, 0);
        assert(wait_us >= 0 || questions_done(work->questions)); /* it never falls asleep */
        work->now_us += wait_us < 0 || wait_us > 1000000000 ? 1 : wait_us;
    }
    for (size_t i = 0; i < profile->entry_count; i++) {
        const struct entry *entry = &profile->entries[i];

        answer(work, i, 0);
        answer(work, i, entry_places(profile, entry, entry->variable_count) - 1);
    }
    renew(work);
    overlap_find(profile, on_overlap, work);
}

/* ---- judging ---- */

static void
judge(struct work *work)
{
    const struct desk *desk = engine_desk(work->engine);

    rig_check_desk(desk);
    if (desk_count(desk, INDEX_INPUT) * desk_count(desk, INDEX_MIX) > JUDGED_PATHS)
        return;
    for (int values = RIG_USUAL; values <= RIG_MOST; values++) {
        rig_fill(work->engine, (enum rig_values)values, 2000);
        rig_run(work->engine, 2000);
        rig_check_marks(work->engine);
        plan_free(engine_advise(work->engine, PLAN_SMALL_TOO));
    }
}

static void
put_to_work(const struct profile *profile)
{
    struct work work = {.profile = profile, .now_us = 1000000};

    print_everything(profile);
    check_list(profile);
    if (check_size(profile) > WORKED_PLACES)
        return;
    work.engine = rig_engine(profile, NULL);
    work.router = router_new(profile, work.engine, on_answer, &work);
    work.questions = questions_new(profile);
    assert(work.router && work.questions);
    hold_conversation(&work);
    judge(&work);
    router_free(work.router);
    questions_free(work.questions);
    engine_free(work.engine);
}

int
LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length)
{
    char *text = malloc(length + 1);
    struct problems problems = {0};
    struct profile *profile = NULL;
    struct json *json;

    assert(text);
    memcpy(text, bytes, length);
    text[length] = '\0';
    json = json_parse(text, length, "fuzz", &problems);
    assert((json != NULL) == (problems.count == 0));
    if (json)
        profile = profile_from_json(json, "fuzz", &problems);
    assert((profile != NULL) == (problems.count == 0));
    problems_print(&problems, rig_nowhere());
    json_free(json);
    if (profile)
        put_to_work(profile);
    profile_free(profile);
    problems_release(&problems);
    free(text);
    return 0;
}

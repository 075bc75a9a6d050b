/* SPDX-License-Identifier: MIT */
/* A link that speaks to nobody and goes by no clock: it is told what happened to one that did. */
#include <string.h>

#include "core/need.h"
#include "link/questions.h"
#include "link/way.h"

struct replayed {
    struct link link; /* by which it is known */
    int64_t begun_ms;
    bool was_read; /* the figures of the first reading are known */
};

/* What follows from a state is told too. */
static void
wait_to_be_told(struct link *link)
{
    (void)link;
}

static void
on_answer(void *context, size_t entry, size_t place)
{
    struct link *link = context;

    link->entry = entry;
    link->place = place;
}

static void
add_figures(const struct link *link, struct link_figures *figures)
{
    const struct replayed *replayed = (const struct replayed *)link;

    if (!replayed->was_read)
        figures->took_ms = figures->now_ms - replayed->begun_ms;
}

static const struct link_way way = {wait_to_be_told, wait_to_be_told, wait_to_be_told,
                                    wait_to_be_told, add_figures,     link_free};

/* How many questions there would be. */
static struct question_figures
count_questions(const struct profile *profile)
{
    struct questions *questions = questions_new(profile);
    struct question_figures figures = questions_figures(questions);

    questions_free(questions);
    return figures;
}

struct link *
link_open_replayed(struct loop *loop, const struct profile *profile, struct engine *engine,
                   struct link_owner owner)
{
    struct replayed *replayed = need_memory(1, sizeof *replayed);

    *replayed = (struct replayed){{&way, loop, profile, engine, owner, .fast = false},
                                  .begun_ms = loop_now_ms(loop)};
    link_init(&replayed->link, on_answer);
    replayed->link.figures.questions = count_questions(profile);
    return &replayed->link;
}

void
link_replay_packet(struct link *link, const uint8_t *bytes, size_t length)
{
    link_hear_packet(link, bytes, length, loop_woke_ms(link->loop));
}

bool
link_replay_rejected(struct link *link, const char *reason, uint64_t count)
{
    for (size_t i = 0; i < LINK_REASONS; i++)
        if (strcmp(rejects_reason(i), reason) == 0) {
            *rejects_count(&link->figures.rejects, i) += count;
            return true;
        }
    return false;
}

void
link_replay_reading(struct link *link, const struct question_figures *figures, int64_t took_ms)
{
    struct replayed *replayed = (struct replayed *)link;

    link->figures.questions = *figures;
    link->figures.took_ms = took_ms;
    link->figures.resolved = true;
    replayed->was_read = true;
}

void
link_replay_read(struct link *link)
{
    link->fast = false;
}

void
link_replay_heard(struct link *link, int64_t heard_ms)
{
    link->figures.last_heard_ms = heard_ms;
}

void
link_replay_expired(struct link *link, int64_t before_ms)
{
    link_expire(link, before_ms);
}

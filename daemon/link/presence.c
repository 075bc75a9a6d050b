/* SPDX-License-Identifier: MIT */
#include "link/presence.h"

#include <math.h>

enum {
    AWAY_LEAST_MS = 400, /* no desk starts faster, and networks have hiccups */
    UNHEARD_LEAST = 3,
    TELLS_LEAST = 2,        /* before they are taken for a habit */
    MUTE_RENEWALS = 3,      /* that nothing came after: the desk is lost */
    RENEWED_LEAST_MS = 1000 /* a renewal that nothing came after for so long stayed unanswered */
};

/* That nothing was heard though the desk was there shall be thought of as a new start once in a
 * million such silences. */
static const double mistakes = 1e-6;

void
presence_begin(struct presence *presence, struct presence_limits limits, int64_t now_ms)
{
    *presence = (struct presence){.limits = limits, .since_ms = now_ms, .heard_ms = now_ms};
}

void
presence_asked(struct presence *presence, int64_t now_ms)
{
    if (presence->since_ms < 0)
        presence->since_ms = now_ms;
    presence->unheard++;
}

void
presence_renewed(struct presence *presence, int64_t now_ms)
{
    if (presence->since_ms < 0 && !presence->limits.asked)
        presence->since_ms = now_ms;
    presence->told = false;
}

void
presence_trouble(struct presence *presence, int64_t now_ms)
{
    if (presence->since_ms < 0)
        presence->since_ms = now_ms;
    presence->trouble = true;
}

/* Whether the silence up to now was more than chance. */
static bool
was_away(const struct presence *presence, double loss, int64_t now_ms)
{
    int64_t silent_ms = now_ms - presence->since_ms;

    if (presence->trouble)
        return true;
    if (!presence->limits.asked)
        return presence->tells >= TELLS_LEAST && silent_ms >= RENEWED_LEAST_MS;
    return silent_ms >= AWAY_LEAST_MS && presence->unheard >= UNHEARD_LEAST &&
           pow(loss, presence->unheard) < mistakes;
}

bool
presence_heard(struct presence *presence, bool unmoved, double loss, int64_t now_ms)
{
    bool away = presence->heard && presence->since_ms >= 0 && was_away(presence, loss, now_ms);

    if (unmoved && !presence->told && presence->tells < TELLS_LEAST)
        presence->tells++;
    presence->told |= unmoved;
    presence->since_ms = -1;
    presence->unheard = 0;
    presence->trouble = false;
    presence->heard = true;
    presence->heard_ms = now_ms;
    return away;
}

int64_t
presence_lost_at_ms(const struct presence *presence)
{
    const struct presence_limits *limits = &presence->limits;

    if (limits->asked)
        return presence->since_ms >= 0 ? presence->since_ms + limits->lost_ms : INT64_MAX;
    if (limits->mute_ms > 0)
        return presence->heard_ms + limits->mute_ms;
    if (limits->renewal_ms == 0 || presence->tells < TELLS_LEAST)
        return INT64_MAX;
    if (MUTE_RENEWALS * limits->renewal_ms < limits->lost_ms)
        return presence->heard_ms + limits->lost_ms;
    return presence->heard_ms + MUTE_RENEWALS * limits->renewal_ms;
}

/* The desk beside its approved state: findings then and now, and every value that moved. Both forms
 * of the page are written from these facts.
 */
#ifndef GAINWARDEN_COMPARE_H
#define GAINWARDEN_COMPARE_H

#include "difference.h"
#include "link.h"
#include "session.h"
#include "state_file.h"

/* How one check stands to one object, then and now. */
struct compare_finding {
    enum finding_change change;
    const struct finding *then, *now;
    char player[SHOW_NAME_SIZE]; /* "" when nothing tells */
};

struct compare_value {
    enum difference_class kind;
    enum param_id id;
    int row, column;
};

struct compare {
    const struct session *session;
    const struct state *state; /* its desk is the engine's `then` */
    const char *path;
    struct engine *then, *now;
    struct link_figures figures;
    bool all; /* list everything */
    struct compare_finding *findings;
    size_t finding_count, of[FINDING_CHANGES];
    struct compare_value *moved, *unknown; /* protection first */
    size_t moved_count, unknown_count;
    struct difference_counts counts;
};

void compare_text(const struct compare *compare);
void compare_json(const struct compare *compare);

/* The finding to speak of: today's where there is one. */
const struct finding *compare_shown(const struct compare_finding *row);

/* "preamp 30 -> 36 dB", of a value that moved. */
enum { COMPARE_SAYS_SIZE = 300 };
const char *compare_says(const struct compare *compare, const struct compare_value *value,
                         char says[COMPARE_SAYS_SIZE]);

#endif

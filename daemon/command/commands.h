/* What each command does; each returns the exit status. */
#ifndef GAINWARDEN_COMMANDS_H
#define GAINWARDEN_COMMANDS_H

#include "base/options.h"

int command_audit(const struct options *options);
int command_watch(const struct options *options);
int command_replay(const struct options *options);
int command_listen(const struct options *options);
int command_retrim(const struct options *options);
int command_approve(const struct options *options);
int command_review(const struct options *options);
int command_compare(const struct options *options);
int command_tell_test(const struct options *options);
int command_room(const struct options *options);
int command_quiet(const struct options *options);
int command_status(const struct options *options);
int command_reload(const struct options *options);
int command_check(const struct options *options);
int command_explain(const struct options *options);

/* What `explain` takes besides the checks' ids; NULL behind the last. */
const char *explain_topic(size_t i);

#endif

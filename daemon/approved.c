#include "approved.h"

#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* "show.json" to "show.approved.json" */
static char *
beside_show(const char *show)
{
    static const char ending[] = ".approved.json";
    size_t length = strlen(show);
    char *path;

    if (length > 5 && strcmp(show + length - 5, ".json") == 0)
        length -= 5;
    path = malloc(length + sizeof ending);
    if (!path)
        abort();
    memcpy(path, show, length);
    memcpy(path + length, ending, sizeof ending);
    return path;
}

char *
approved_path(const struct options *options, const struct show_file *file, bool *named)
{
    const char *said = options->approved ? options->approved : file ? file->approved : NULL;

    *named = said != NULL;
    if (said)
        return strdup(said);
    return file ? beside_show(file->path) : NULL;
}

struct desk *
approved_read(const struct options *options, const struct show_file *file,
              const struct engine *engine, struct state_note *note, int64_t now_ms,
              struct problems *problems)
{
    bool named;
    char *path = approved_path(options, file, &named);
    struct desk *desk = NULL;

    if (path && (named || access(path, F_OK) == 0))
        desk = state_file_read(path, engine_desk(engine), note, now_ms, problems);
    free(path);
    return desk;
}

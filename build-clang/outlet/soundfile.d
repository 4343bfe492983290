build-clang/outlet/soundfile.o: src/outlet/soundfile.c \
  include/holdfast/soundfile.h include/holdfast/status.h \
  include/holdfast/random.h include/holdfast/wholefile.h

include/holdfast/soundfile.h:

include/holdfast/status.h:

include/holdfast/random.h:

include/holdfast/wholefile.h:

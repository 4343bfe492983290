build-clang/outlet/store.o: src/outlet/store.c include/holdfast/store.h \
  include/holdfast/status.h include/holdfast/wholefile.h

include/holdfast/store.h:

include/holdfast/status.h:

include/holdfast/wholefile.h:

# Builds the page: cmake -DWEB=<web/> -DDIST=<folder> -P build_web.cmake
# Packages come by lock file, once; later builds need no network. The lock lets
# two build folders of one checkout do this at the same time.
cmake_minimum_required(VERSION 3.25)
find_program(NPM npm REQUIRED)
find_program(NODE NAMES node nodejs REQUIRED)

set(installed ${WEB}/node_modules/.package-lock.json)
if(NOT EXISTS ${installed}
   OR ${WEB}/package-lock.json IS_NEWER_THAN ${installed})
  file(LOCK ${WEB}/.npm-lock GUARD PROCESS TIMEOUT 600)
  if(NOT EXISTS ${installed}
     OR ${WEB}/package-lock.json IS_NEWER_THAN ${installed})
    execute_process(COMMAND ${NPM} ci --no-audit --no-fund
      WORKING_DIRECTORY ${WEB} RESULT_VARIABLE failed)
    if(failed)
      message(FATAL_ERROR "npm ci failed in ${WEB}; the page's packages must be
        fetched once, with a network")
    endif()
    file(TOUCH ${installed})
  endif()
endif()

execute_process(COMMAND ${NODE} scripts/build.mjs --out ${DIST}
  WORKING_DIRECTORY ${WEB} RESULT_VARIABLE failed)
if(failed)
  message(FATAL_ERROR "the page could not be built")
endif()
